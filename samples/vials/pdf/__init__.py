"""Label sheets and their test page as PDF."""

from samples.vials.pdf.labels import NothingToPrint, Told, arrange_label, labels_pdf
from samples.vials.pdf.page import measure
from samples.vials.pdf.raster import Cutting, page_png
from samples.vials.pdf.ruler_page import test_page_pdf

__all__ = [
    "Cutting",
    "NothingToPrint",
    "Told",
    "arrange_label",
    "labels_pdf",
    "measure",
    "page_png",
    "test_page_pdf",
]
