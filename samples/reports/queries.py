"""What the pages of reports read."""

from dataclasses import dataclass

from django.db.models import QuerySet

from samples.findings.computed import Question
from samples.models import (
    Donor,
    Lake,
    Report,
    ReportBlock,
    ReportBlockKind,
    ReportDraft,
    ReportFile,
    read_revision,
)
from samples.rules.and_text import and_text

GONE = (
    "This block can't be made: its species, seasons or arms no longer exist at this lake. "
    "Open the finding, choose again, and add it to the report."
)
NO_SUCH_TOPIC = "This block can't be made: Earstone no longer has this finding."
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


def donor_names(lake: Lake) -> list[str]:
    """Return the names of everybody who donated fish at a lake: no report holds one."""
    rows = Donor.objects.filter(lake=lake).values_list("name", "person__display_name")
    return sorted({name for row in rows for name in row if name})


def chosen_fish(question: Question) -> str:
    """Say which fish a finding is of, as they were chosen."""
    chosen = question.choice
    said = [chosen.species.species.name, chosen.season_words]
    said += [and_text([arm.name for arm in chosen.arms])] if chosen.arms else []
    for name in ("sex", "method", "chosen"):
        labels = dict(question.form.fields[name].choices)  # type: ignore[attr-defined]
        given = [str(labels.get(one, one)) for one in question.form.given.getlist(name)]
        said += [and_text(given).lower()] if given else []
    return ", ".join(said)
