"""Blocks of a report: their own words, their order, and which there are."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake
from samples.reports import forms, queries, services
from samples.reports.presenters.blocks import shown_blocks
from samples.reports.views.pages import CONFLICT, block_of, report_of
from samples.rules.lake_time import local_day


def _back(lake: Lake, pk: int, block: int | None = None) -> HttpResponse:
    address = reverse("reports:report", args=[lake.slug, pk])
    return redirect(f"{address}#block-{block}" if block else address)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.WRITE_REPORTS)
def block(request: SignedInRequest, lake: Lake, pk: int, block: int) -> HttpResponse:
    """Write the own words of a block; who saves second sees what the first one wrote."""
    found = block_of(lake, pk, block)
    form = forms.BlockWords(
        request.POST or None, lake=lake, initial={"words": found.words, "version": found.version}
    )
    other, status = None, 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                services.change_block(
                    found, **form.cleaned_data, actor=request.user, now=timezone.now()
                )
            except services.ReportChanged as changed:
                other, status = block_of(lake, pk, changed.row.pk), CONFLICT
                again = form.cleaned_data | {"version": other.version}
                form = forms.BlockWords(None, lake=lake, initial=again)
            except services.BlockRemoved:
                form.add_problem(
                    "words",
                    "Somebody removed this block. Copy your words, add the block again, and paste "
                    "them there.",
                    code="removed",
                )
            else:
                messages.success(request, "Words saved.")
                return _back(lake, pk, block)
    [shown] = shown_blocks(lake, [found], local_day(timezone.now(), lake.time_zone))
    context = {"lake": lake, "report": found.report, "shown": shown, "form": form, "other": other}
    return render(request, "reports/block.html", context, status=status)


@require_POST
@lake_permission_required(Permission.WRITE_REPORTS)
def add_block(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Add a block that is of no finding."""
    found, kind = report_of(lake, pk), request.POST.get("kind", "")
    if kind not in {one.value for one in queries.SINGLE}:
        messages.error(request, "Choose a block from the list.")
        return _back(lake, pk)
    try:
        row = services.add_block(found, kind=kind, actor=request.user, now=timezone.now())
    except services.ReportRefused as problem:
        messages.error(request, problem.sentence)
        return _back(lake, pk)
    return _back(lake, pk, row.pk)


@require_POST
@lake_permission_required(Permission.WRITE_REPORTS)
def move(request: SignedInRequest, lake: Lake, pk: int, block: int) -> HttpResponse:
    """Move a block up, or down."""
    found = block_of(lake, pk, block)
    up = request.POST.get("to") == "up"
    services.move_block(found, up=up, actor=request.user, now=timezone.now())
    return _back(lake, pk, block)


@require_POST
@lake_permission_required(Permission.WRITE_REPORTS)
def remove(request: SignedInRequest, lake: Lake, pk: int, block: int) -> HttpResponse:
    """Remove a block, unless somebody wrote words above it that were not seen."""
    found = block_of(lake, pk, block)
    version = request.POST.get("version", "")
    seen = int(version) if version.isdecimal() and len(version) < 10 else 0
    try:
        services.remove_block(found, version=seen, actor=request.user, now=timezone.now())
    except services.ReportChanged as changed:
        sentence = f"Not removed: {changed.row.changed_by} changed its words. Look at them first."
        messages.error(request, sentence)
        return _back(lake, pk, block)
    messages.success(request, "Block removed.")
    return _back(lake, pk)
