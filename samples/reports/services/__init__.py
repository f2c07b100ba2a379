"""Everything that changes a report."""

from samples.reports.services.drafts import (
    WRITERS,
    begin_draft,
    digest_of,
    keep_document,
    keep_file,
    read_file,
    write_file,
)
from samples.reports.services.editing import (
    BlockRemoved,
    ReportChanged,
    ReportRefused,
    add_block,
    add_finding,
    change_block,
    change_report,
    move_block,
    remove_block,
    start_report,
)

__all__ = [
    "WRITERS",
    "BlockRemoved",
    "ReportChanged",
    "ReportRefused",
    "add_block",
    "add_finding",
    "begin_draft",
    "change_block",
    "change_report",
    "digest_of",
    "keep_document",
    "keep_file",
    "move_block",
    "read_file",
    "remove_block",
    "start_report",
    "write_file",
]
