"""The reports of a lake, and one of them with its blocks, first page and drafts."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.findings.views.waiting import waiting_context
from samples.models import Computation, Lake, Report, ReportBlock, ReportFormat
from samples.reports import computed, forms, queries, services
from samples.reports.presenters.blocks import shown_blocks
from samples.rules.lake_time import local_day

CONFLICT = 409


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.WRITE_REPORTS)
def reports(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the reports of the lake, and start one."""
    form = forms.StartReport(request.POST or None, lake=lake, initial={"authors": request.user})
    if request.method == "POST" and form.is_valid():
        try:
            report = services.start_report(
                lake, **form.cleaned_data, actor=request.user, now=timezone.now()
            )
        except services.ReportRefused as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            return redirect("reports:report", lake.slug, report.pk)
    context = {"lake": lake, "form": form, "reports": queries.reports_at(lake)}
    status = 422 if request.method == "POST" else 200
    return render(request, "reports/reports.html", context, status=status)


def report_of(lake: Lake, pk: int) -> Report:
    """Return a report of this lake."""
    rows = Report.objects.select_related("lake", "season", "changed_by")
    return get_object_or_404(rows, lake=lake, pk=pk)


def block_of(lake: Lake, pk: int, block: int) -> ReportBlock:
    """Return a block of a report of this lake."""
    rows = ReportBlock.objects.select_related("report__lake", "changed_by")
    return get_object_or_404(rows, report__lake=lake, report_id=pk, pk=block)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.WRITE_REPORTS)
def report(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show a report with its blocks and drafts, and save its first page."""
    found = report_of(lake, pk)
    form = forms.FirstPage(request.POST or None, lake=lake, initial=_first_page(found))
    other, status = None, 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                services.change_report(
                    found, **form.cleaned_data, actor=request.user, now=timezone.now()
                )
            except services.ReportChanged as changed:
                found = report_of(lake, changed.row.pk)
                form = _opened_anew(form, found, lake)
                other, status = found, CONFLICT
            except services.ReportRefused as problem:
                form.add_problem(problem.field, problem.sentence, code=problem.code)
            else:
                messages.success(request, "First page saved.")
                return redirect("reports:report", lake.slug, pk)
    context = _context(lake, found) | {"form": form, "other": other}
    return render(request, "reports/report.html", context, status=status)


def _first_page(found: Report) -> dict[str, Any]:
    return {
        name: getattr(found, name) for name in ("title", "authors", "words", "paper", "version")
    }


def _opened_anew(form: forms.FirstPage, found: Report, lake: Lake) -> forms.FirstPage:
    """Return the form with what was typed, as of the version that somebody else saved."""
    return forms.FirstPage(None, lake=lake, initial=form.cleaned_data | {"version": found.version})


def _context(lake: Lake, found: Report) -> dict[str, Any]:
    rows = queries.blocks_of(found)
    drafts = queries.drafts_of(found)
    context = {
        "lake": lake,
        "report": found,
        "blocks": shown_blocks(lake, rows, local_day(timezone.now(), lake.time_zone)),
        "kinds": queries.kinds_to_add(rows),
        "drafts": drafts,
        "formats": [ReportFormat(one) for one in services.WRITERS],
        "made": [one for one in drafts if one.draft.is_made],
    }
    computation = _computation(drafts)
    return context | (waiting_context(computation) if computation else {})


def _computation(drafts: list[queries.ShownDraft]) -> Computation | None:
    """Return the computation that makes the latest draft, while it is not made."""
    if not drafts or drafts[0].draft.is_made:
        return None
    return computed.find_computation(drafts[0].draft)
