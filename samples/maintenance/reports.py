"""Reports and their files: each draft is the document that was frozen, each file what was kept."""

from collections.abc import Iterator
from datetime import datetime

from django.db.models import F

from samples.maintenance.files import sha256_of, written_before
from samples.maintenance.finding import Finding, count_of, few, find_rows
from samples.models import REPORTS_FOLDER, Report, ReportDraft, ReportFile
from samples.reports.document import CannotReadDocument, read_json
from samples.reports.services import digest_of


def check_reports() -> Iterator[Finding]:
    """Yield reports of another lake's season, drafts that changed, and files that are gone."""
    yield from find_rows(
        "report_of_other_lake",
        Report.objects.exclude(season__lake=F("lake")),
        "report has",
        "reports have",
        "a season of another lake",
        "Choose the season again.",
    )
    changed = tuple(_changed_drafts())
    if changed:
        yield Finding(
            "report_draft_changed",
            f"{count_of(len(changed), 'draft is', 'drafts are')} not as frozen (ids "
            f"{few(changed)}). Restore a backup.",
            changed,
        )
    lost = tuple(_lost_files())
    if lost:
        yield Finding(
            "report_file_lost",
            f"{count_of(len(lost), 'report file is', 'report files are')} missing or changed (ids "
            f"{few(lost)}). Open the draft: it is written again.",
            lost,
            is_problem=False,
        )


def _changed_drafts() -> Iterator[str]:
    for draft in ReportDraft.objects.exclude(made_at=None).order_by("pk").iterator():
        if digest_of(draft.document) != draft.document_sha256 or not _is_readable(draft):
            yield str(draft.pk)


def _is_readable(draft: ReportDraft) -> bool:
    try:
        read_json(draft.document)
    except CannotReadDocument:
        return False
    return True


def _lost_files() -> Iterator[str]:
    for row in ReportFile.objects.order_by("pk").iterator():
        if sha256_of(row.file) != row.sha256:
            yield str(row.pk)


def stray_report_files(now: datetime) -> list[str]:
    """Return the files that no draft names."""
    files = sorted(written_before(ReportFile().file.storage, REPORTS_FOLDER, now))
    named = set(ReportFile.objects.values_list("file", flat=True))
    return [name for name in files if name not in named]


def delete_stray_report_files(now: datetime) -> int:
    """Delete the files that no draft names, and return how many."""
    strays = stray_report_files(now)
    for name in strays:
        ReportFile().file.storage.delete(name)
    return len(strays)
