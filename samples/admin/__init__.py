"""Every table, for the administrator's repairs. What the field said is shown and not changed."""

from samples.admin import nets, people, pictures, reports, tables

__all__ = ["nets", "people", "pictures", "reports", "tables"]
