"""Labels: ten thousand with symbols, against the same text alone in reportlab; and their size."""

import io

from reportlab.pdfgen.canvas import Canvas

from samples.management.timing import BenchmarkResult, in_turn
from samples.rules import vial_number
from samples.vials import pdf
from samples.vials.geometry import STOCKS, Label, place

NAME = "labels"
LABELS = 9_999
TIMED = ("sheet-35x15", "letter-25x10", "roll-38x19", "envelope-57x89")
SLOWER = 3
BYTES = 300
POINTS_PER_MM = 72 / 25.4


def run():
    labels = [_label(place) for place in range(1, LABELS + 1)]
    return [_timed(code, labels) for code in TIMED] + [_largest(labels)]


def _label(sequence):
    number = vial_number.make(2026, sequence, 4)
    return Label(
        number=number,
        grouped=vial_number.grouped(number),
        link=vial_number.link("https://earstone.example", number),
        lake="Lake Orrinbeck",
        season="2026",
    )


def _timed(code, labels):
    stock = STOCKS[code]
    placed = place(stock, len(labels))
    ours, floor = in_turn(
        lambda: pdf.labels_pdf(labels, stock),
        lambda: _text_alone(labels, stock, placed),
        rounds=5,
        warm=1,
    )
    return BenchmarkResult(
        f"{NAME}: {LABELS:,} with symbols on {code}",
        ours,
        floor,
        "ms",
        f"at most {SLOWER} x the same text alone in reportlab",
        met=ours <= SLOWER * floor,
    )


def _text_alone(labels, stock, placed):
    """Write number, lake and season where they stand, and nothing else."""
    out = io.BytesIO()
    width, height = (mm * POINTS_PER_MM for mm in (stock.page_width_mm, stock.page_height_mm))
    canvas = Canvas(out, pagesize=(width, height), pageCompression=1, invariant=True)
    page = 1
    for label, at in zip(labels, placed, strict=True):
        if at.page != page:
            canvas.showPage()
            page = at.page
        x, y = at.x_mm * POINTS_PER_MM, height - at.y_mm * POINTS_PER_MM
        canvas.setFont("Helvetica-Bold", 9)
        canvas.drawString(x, y - 12, label.grouped)
        canvas.setFont("Helvetica", 5)
        canvas.drawString(x, y - 20, f"{label.lake} {label.season}")
    canvas.save()
    return out.getvalue()


def _largest(labels):
    """Return the stock whose file is the largest, in bytes a label."""
    size, code = max(
        (len(pdf.labels_pdf(labels, stock)) / LABELS, code) for code, stock in STOCKS.items()
    )
    return BenchmarkResult(
        f"{NAME}: bytes a label on {code}, the largest of {len(STOCKS)} stocks",
        size,
        BYTES,
        "bytes",
        f"under {BYTES} bytes on every stock",
        met=size < BYTES,
    )
