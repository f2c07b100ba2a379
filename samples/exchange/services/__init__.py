"""Taking a spreadsheet of fish in: all of its rows or none, by the phone's own service."""

from samples.exchange.services.fish_table import CannotImport, import_fish
from samples.exchange.services.report import BadRow, Report, Settings

__all__ = ["BadRow", "CannotImport", "Report", "Settings", "import_fish"]
