"""Sheets of paper: the map of a box, and the index of the archive."""

from samples.custody.pdf.archive import archive_index_pdf, box_map_pdf

__all__ = ["archive_index_pdf", "box_map_pdf"]
