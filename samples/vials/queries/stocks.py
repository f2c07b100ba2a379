"""Label stocks of a lake: those that every lake has, and those its office measured."""

from samples.models import LabelPrint, LabelRun, Lake, LakeStock, PartSheet
from samples.vials.geometry import STOCKS, LabelStock, StockDoesNotFit
from samples.vials.geometry.catalogue import CAP, PENCIL, RIBBON, TONER

_HUNDREDTHS = 100


def stock_of(row: LakeStock) -> LabelStock:
    """Return the measurements of a lake's own stock.

    :raises StockDoesNotFit: if they contradict each other
    """
    return LabelStock(
        code=row.code,
        page_width_mm=row.page_width / _HUNDREDTHS,
        page_height_mm=row.page_height / _HUNDREDTHS,
        label_width_mm=row.label_width / _HUNDREDTHS,
        label_height_mm=row.label_height / _HUNDREDTHS,
        columns=row.columns,
        rows=row.rows,
        left_mm=row.left / _HUNDREDTHS,
        top_mm=row.top / _HUNDREDTHS,
        pitch_across_mm=row.pitch_across / _HUNDREDTHS,
        pitch_down_mm=row.pitch_down / _HUNDREDTHS,
        dots_per_inch=row.dots_per_inch,
        vial_diameter_mm=row.vial_diameter / _HUNDREDTHS if row.vial_diameter else None,
        margin_mm=row.margin / _HUNDREDTHS,
        corner_radius_mm=row.corner_radius / _HUNDREDTHS,
        is_round=row.is_round,
        strip_mm=row.strip / _HUNDREDTHS,
        has_pencil_lines=row.has_pencil_lines,
        advice=_advice(row),
        note=row.note,
    )


def _advice(row: LakeStock) -> str:
    """Return how to print so that it lasts, as for the common stocks."""
    if row.has_pencil_lines or row.strip:
        return PENCIL
    if row.is_round:
        return CAP
    return RIBBON if row.columns * row.rows == 1 else TONER


def stocks_at(lake: Lake, *, retired: bool = False) -> dict[str, LabelStock]:
    """Return the stocks of a lake by their codes, its own first; `retired` ones too if wanted."""
    rows = LakeStock.objects.filter(lake=lake).order_by("label_height", "label_width", "pk")
    if not retired:
        rows = rows.filter(is_retired=False)
    own = (_if_fit(row) for row in rows)
    return {stock.code: stock for stock in own if stock is not None} | dict(STOCKS)


def find_stock(lake: Lake, code: str) -> LabelStock | None:
    """Return a stock by its code, also one that is listed no more."""
    return STOCKS.get(code) or stocks_at(lake, retired=True).get(code)


def _if_fit(row: LakeStock) -> LabelStock | None:
    """Return a stock, or nothing if what is stored of it is not to be drawn."""
    try:
        return stock_of(row)
    except StockDoesNotFit:
        return None


def was_printed_on(row: LakeStock) -> bool:
    """Return whether labels were made on a lake's own stock."""
    runs = LabelRun.objects.filter(season__lake=row.lake_id, stock=row.code)
    return runs.exists() or LabelPrint.objects.filter(lake=row.lake_id, stock=row.code).exists()


def last_stock(lake: Lake) -> str:
    """Return the stock that the lake's labels were last printed on, or the one in its place.

    The first of all where none of those that were printed on is listed any more.
    """
    printed = LabelPrint.objects.filter(lake=lake).order_by("-made_at", "-pk")
    # A few labels printed again, on an envelope perhaps, say nothing of the next run's.
    of_runs = printed.filter(run__isnull=False).values_list("stock", flat=True)
    code = of_runs.first()
    if code is None:
        made = LabelRun.objects.filter(season__lake=lake).order_by("-made_at", "-pk")
        code = made.values_list("stock", flat=True).first()
    listed = stocks_at(lake)
    while code is not None and code not in listed:
        code = _in_place_of(lake, code)
    return code or next(iter(STOCKS))


def _in_place_of(lake: Lake, code: str) -> str | None:
    """Return the own stock that was measured when this one was retired, or next after it."""
    own = LakeStock.objects.filter(lake=lake)
    retired = next((row for row in own.filter(is_retired=True) if row.code == code), None)
    if retired is None:
        return None
    # Later ones alone, so that the way ends.
    later = own.filter(pk__gt=retired.pk, changed_at__gte=retired.changed_at)
    row = later.order_by("changed_at", "pk").first()
    return row.code if row is not None else None


def part_sheet(lake: Lake, stock: LabelStock) -> PartSheet | None:
    """Return the sheet of a stock that was begun and has room left.

    One is forgotten whose stock has another number of labels by now.
    """
    sheet = PartSheet.objects.filter(lake=lake, stock=stock.code).first()
    if sheet is None or not sheet.used or len(sheet.used) >= stock.per_page:
        return None
    return sheet if max(sheet.used) <= stock.per_page else None


def sheet_on_offer(lake: Lake, code: str) -> str:
    """Return what a form calls the part-used sheet of a stock; nothing if there is none."""
    stock = find_stock(lake, code)
    sheet = part_sheet(lake, stock) if stock else None
    return f"part-{sheet.version}" if sheet else ""
