"""Making a report, and the files of its drafts."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, ReportDraft, ReportFile, ReportFormat
from samples.reports import computed, services
from samples.reports.views.pages import report_of

TYPES = {
    ReportFormat.PDF.value: "application/pdf",
    ReportFormat.POSTER.value: "application/pdf",
    ReportFormat.DOCX.value: (
        "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
    ),
    ReportFormat.PPTX.value: (
        "application/vnd.openxmlformats-officedocument.presentationml.presentation"
    ),
}


@require_POST
@lake_permission_required(Permission.WRITE_REPORTS)
def make(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Have the report made as it stands."""
    found = report_of(lake, pk)
    draft = computed.request_report(found, actor=request.user, now=timezone.now(), again=True)
    if draft.is_made:
        messages.success(request, f"Draft {draft.number} is ready.")
    return redirect("reports:report", lake.slug, pk)


@require_safe
@lake_permission_required(Permission.WRITE_REPORTS)
def draft_file(
    request: SignedInRequest, lake: Lake, pk: str, number: str, kind: str
) -> HttpResponse:
    """Return a draft as a file; one that was not written yet is written from its document."""
    del request
    rows = ReportDraft.objects.select_related("report")
    draft = get_object_or_404(
        rows, report__lake=lake, report_id=int(pk), number=int(number), made_at__isnull=False
    )
    if kind not in services.WRITERS:
        raise Http404("No such file.")
    content = services.read_file(draft, kind, now=timezone.now())
    name = slugify(f"{draft.report.title} draft {draft.number}") + (
        " poster" if kind == ReportFormat.POSTER else ""
    )
    ending = ReportFile(format=kind).ending
    response = HttpResponse(content, content_type=TYPES[kind])
    response["Content-Disposition"] = f'inline; filename="{slugify(name)}.{ending}"'
    return response
