"""Pages on which reports are put together, and their files."""

from samples.reports.views.adding import add
from samples.reports.views.blocks import add_block, block, move, remove
from samples.reports.views.drafts import draft_file, make
from samples.reports.views.pages import report, reports

__all__ = [
    "add",
    "add_block",
    "block",
    "draft_file",
    "make",
    "move",
    "remove",
    "report",
    "reports",
]
