"""A report made beside the page that asked for it."""

from datetime import UTC, datetime
from typing import Any

from samples.computations.requests import request_computation
from samples.computations.results import digest
from samples.computations.running import Progress
from samples.models import Computation, Report, ReportDraft, ReportFormat, User, read_revision
from samples.reports import services
from samples.reports.blocks import assemble
from samples.reports.queries import blocks_of

KIND = "report"
# What a block costs that is not known yet.
BLOCK_S = 1.5


def request_report(
    report: Report, *, actor: User, now: datetime, again: bool = False
) -> ReportDraft:
    """Have a worker make a report as it stands; where there is none, it is made by then."""
    draft = services.begin_draft(report, actor=actor, now=now)
    request_computation(
        kind=KIND,
        key=_key(draft),
        revision=read_revision(report.lake_id),
        arguments={"lake": report.lake_id, "draft": draft.pk, "now": now.isoformat()},
        expected_s=BLOCK_S * report.blocks.count(),
        now=now,
        again=again,
    )
    draft.refresh_from_db()
    return draft


def find_computation(draft: ReportDraft) -> Computation | None:
    """Return the computation that makes a draft."""
    return Computation.objects.filter(key=_key(draft)).first()


def compute_report(arguments: dict[str, Any], progress: Progress) -> tuple[str, int]:
    """Make a report, freeze it, and write its files; return the mark of its data, and the draft."""
    draft = ReportDraft.objects.select_related("report__lake", "report__season").get(
        pk=arguments["draft"]
    )
    now = datetime.fromisoformat(arguments["now"]).astimezone(UTC)
    if not draft.is_made:
        report = draft.report
        made = assemble(report, blocks_of(report), draft=draft.number, now=now, tell=progress)
        draft = services.keep_document(draft, made.document, revision=made.revision, now=now)
    for place, name in enumerate(services.WRITERS):
        progress(92 + 2 * place, f"Writing the {ReportFormat(name).label}")
        services.write_file(draft, name, now=now)
    return draft.revision, draft.pk


def _key(draft: ReportDraft) -> str:
    return digest(KIND, draft.pk)
