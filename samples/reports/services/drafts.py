"""Making a report: a draft is begun by a page, filled once by a worker, and written as files."""

import hashlib
from collections.abc import Callable
from datetime import datetime

from django.core.files.base import ContentFile
from django.db import transaction

from samples.models import Report, ReportDraft, ReportFile, ReportFormat, User
from samples.reports.document import Document, as_json, read_json
from samples.reports.services.editing import next_number

Writer = Callable[[Document], bytes]


def _pdf(document: Document) -> bytes:
    from samples.reports.writers.pdf import write_pdf

    return write_pdf(document)


def _docx(document: Document) -> bytes:
    from samples.reports.writers.docx import write_docx

    return write_docx(document)


def _pptx(document: Document) -> bytes:
    from samples.reports.writers.pptx import write_pptx

    return write_pptx(document)


def _poster(document: Document) -> bytes:
    from samples.reports.writers.poster import write_poster

    return write_poster(document)


# Each brings its library in when it writes.
WRITERS: dict[str, Writer] = {
    ReportFormat.PDF: _pdf,
    ReportFormat.DOCX: _docx,
    ReportFormat.PPTX: _pptx,
    ReportFormat.POSTER: _poster,
}


@transaction.atomic
def begin_draft(report: Report, *, actor: User, now: datetime) -> ReportDraft:
    """Begin a draft; one that was begun and is not made yet is the same."""
    held = Report.objects.select_for_update().get(pk=report.pk)
    there = ReportDraft.objects.filter(report=held, made_at=None).first()
    return there or ReportDraft.objects.create(
        report=held, number=next_number(held), requested_by=actor, requested_at=now
    )


@transaction.atomic
def keep_document(
    draft: ReportDraft, document: Document, *, revision: str, now: datetime
) -> ReportDraft:
    """Freeze a draft; one that is made already stays as it is."""
    held = ReportDraft.objects.select_for_update().get(pk=draft.pk)
    if held.is_made:
        return held
    held.document = as_json(document)
    held.document_sha256 = digest_of(held.document)
    held.revision, held.version, held.made_at = revision, document.version, now
    held.save()
    return held


def digest_of(document: str) -> str:
    return hashlib.sha256(document.encode()).hexdigest()


def write_file(draft: ReportDraft, file_format: str, *, now: datetime) -> bytes:
    """Write a draft from its document as a file, and keep it."""
    content = WRITERS[file_format](read_json(draft.document))
    keep_file(draft, file_format, content, now=now)
    return content


@transaction.atomic
def keep_file(draft: ReportDraft, file_format: str, content: bytes, *, now: datetime) -> None:
    """Keep a file in the place of an earlier one of its format."""
    ReportDraft.objects.select_for_update().only("pk").get(pk=draft.pk)
    row = ReportFile.objects.filter(draft=draft, format=file_format).first()
    row = row or ReportFile(draft=draft, format=file_format)
    storage, earlier = row.file.storage, row.file.name
    row.file.save(f"report.{file_format}", ContentFile(content), save=False)
    row.sha256, row.size_bytes = hashlib.sha256(content).hexdigest(), len(content)
    row.written_at = now
    try:
        row.save()
    except Exception:
        storage.delete(str(row.file.name))
        raise
    if earlier:
        transaction.on_commit(lambda: storage.delete(earlier), robust=True)


def read_file(draft: ReportDraft, file_format: str, *, now: datetime) -> bytes:
    """Return a file of a draft as it was kept; one that is lost is written again."""
    row = ReportFile.objects.filter(draft=draft, format=file_format).first()
    if row is not None:
        try:
            with row.file.open("rb") as opened:
                content = bytes(opened.read())
        except OSError:
            content = b""
        if hashlib.sha256(content).hexdigest() == row.sha256:
            return content
    return write_file(draft, file_format, now=now)
