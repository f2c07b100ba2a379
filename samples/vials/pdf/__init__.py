"""Label sheets and their test page as PDF, and one label as a picture."""

from samples.vials.pdf.labels import (
    LabelPicture,
    NothingToPrint,
    label_picture,
    labels_pdf,
    symbol_path,
    write_labels,
)
from samples.vials.pdf.page import measure
from samples.vials.pdf.ruler_page import test_page_pdf

__all__ = [
    "LabelPicture",
    "NothingToPrint",
    "label_picture",
    "labels_pdf",
    "measure",
    "symbol_path",
    "test_page_pdf",
    "write_labels",
]
