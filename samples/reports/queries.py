"""What the pages of reports read."""

from dataclasses import dataclass

from django.db.models import QuerySet

from samples.models import (
    Lake,
    Report,
    ReportBlock,
    ReportBlockKind,
    ReportDraft,
    ReportFile,
    read_revision,
)

# Of each of these a report has one at most; findings come by their own pages.
SINGLE = [one for one in ReportBlockKind if one is not ReportBlockKind.FINDING]


def reports_at(lake: Lake) -> QuerySet[Report]:
    """List the reports of a lake, those of the latest season first."""
    rows = Report.objects.filter(lake=lake).select_related("lake", "season", "changed_by")
    return rows.order_by("-season__starts_on", "title", "pk")


def blocks_of(report: Report) -> list[ReportBlock]:
    """List the blocks of a report in their order."""
    rows = ReportBlock.objects.filter(report=report).select_related("changed_by")
    return list(rows.order_by("place", "pk"))


def kinds_to_add(blocks: list[ReportBlock]) -> list[ReportBlockKind]:
    """List the kinds that a report lacks."""
    there = {one.kind for one in blocks}
    return [one for one in SINGLE if one.value not in there]


@dataclass(frozen=True, slots=True)
class ShownDraft:
    """A draft with its files by format; ``is_of_older_data``: the data have changed since."""

    draft: ReportDraft
    files: dict[str, ReportFile]
    is_of_older_data: bool


def drafts_of(report: Report) -> list[ShownDraft]:
    """List the drafts of a report, the latest first, without their documents."""
    rows = ReportDraft.objects.filter(report=report).defer("document")
    rows = rows.select_related("requested_by").prefetch_related("files").order_by("-number")
    now = read_revision(report.lake_id)
    return [
        ShownDraft(
            row,
            {one.format: one for one in row.files.all()},
            is_of_older_data=row.is_made and row.revision != now,
        )
        for row in rows
    ]
