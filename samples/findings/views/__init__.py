"""Pages of findings, their figures and their tables as files."""

from samples.findings.views.files import figure, table
from samples.findings.views.pages import finding, findings, public
from samples.findings.views.waiting import cancel, computation, compute_again

__all__ = [
    "cancel",
    "computation",
    "compute_again",
    "figure",
    "finding",
    "findings",
    "public",
    "table",
]
