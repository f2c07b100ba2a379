"""Taking spreadsheets in: all rows of a file or none, by the services of the pages."""

from samples.exchange.services.fish_table import CannotImport, import_fish
from samples.exchange.services.report import BadColumn, BadRow, Report, Settings
from samples.exchange.services.rings_table import RingsReport, RingsSettings, import_rings

__all__ = [
    "BadColumn",
    "BadRow",
    "CannotImport",
    "Report",
    "RingsReport",
    "RingsSettings",
    "Settings",
    "import_fish",
    "import_rings",
]
