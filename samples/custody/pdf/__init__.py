"""Sheets of paper: the map of a box, the index of the archive, kit cards and slips."""

from samples.custody.pdf.archive import archive_index_pdf, box_map_pdf
from samples.custody.pdf.kit import PAPERS, KitCard, draw_symbol, kit_card_pdf, slips_pdf

__all__ = [
    "PAPERS",
    "KitCard",
    "archive_index_pdf",
    "box_map_pdf",
    "draw_symbol",
    "kit_card_pdf",
    "slips_pdf",
]
