"""Pages of findings, their figures and their tables as files."""

from samples.findings.views.pages import figure, finding, findings, public, table

__all__ = ["figure", "finding", "findings", "public", "table"]
