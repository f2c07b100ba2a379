"""Labels that were made: their PDF, printing some again, and numbers made void."""

from __future__ import annotations

import io
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import FileResponse, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.computations.requests import count_ahead, nobody_works
from samples.models import Computation, LabelPrint, LabelRun, Lake
from samples.vials import computed, forms, queries, services
from samples.vials.geometry import CannotPrint
from samples.vials.views.planning import made_before, sheets_context


def _run_of(lake: Lake, pk: int) -> queries.RunRow:
    made = LabelRun.objects.select_related("season__lake", "made_by")
    return queries.run_row(get_object_or_404(made, season__lake=lake, pk=pk))


def _print_of(lake: Lake, pk: int) -> LabelPrint:
    return get_object_or_404(LabelPrint.objects.select_related("lake", "made_by"), lake=lake, pk=pk)


def _file_context(label_print: LabelPrint) -> dict[str, Any]:
    """Return what templates say of a print's file, which is begun where it takes long."""
    job = queries.print_job(label_print)
    if job is None:
        return {"label_print": label_print, "stock": None}
    now = timezone.now()
    file = computed.request_file(job, now=now)
    context = {"label_print": label_print, "stock": job.stock, "computation": file.computation}
    if file.computation is not None:
        context |= _progress(file.computation)
    return context


def _progress(computation: Computation) -> dict[str, Any]:
    return {
        "open": computation.is_open,
        "progress": computation.progress,
        "step": computation.step,
        "ahead": count_ahead(computation),
        "nobody_works": nobody_works(computation, timezone.now()),
    }


def _run_page(
    request: SignedInRequest,
    lake: Lake,
    row: queries.RunRow,
    *,
    spoiled: forms.VoidNumbers | None = None,
    problem: str = "",
) -> HttpResponse:
    context = _file_context(services.first_print_of(row.run)) | {
        "lake": lake,
        "row": row,
        "form": spoiled,
        "problem": problem,
        "void_form": spoiled or forms.VoidNumbers(),
        "no_address": not queries.labels_carry_links(),
    }
    status = 422 if spoiled or problem else 200
    return render(request, "vials/run.html", context, status=status)


@require_safe
@never_cache
@lake_permission_required(Permission.PRINT_LABELS)
def run(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one run: print it, print some of it again, or make spoiled numbers void."""
    return _run_page(request, lake, _run_of(lake, pk))


@require_safe
@lake_permission_required(Permission.PRINT_LABELS)
def run_pdf(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponseBase:
    """Return the labels of a run as they were first printed, less those that are void."""
    row = _run_of(lake, pk)
    label_print = services.first_print_of(row.run)
    try:
        content = _file_of(label_print)
    except CannotPrint as why:
        return _run_page(request, lake, row, problem=str(why))
    if content is None:
        return redirect("vials:run", lake.slug, pk)
    return _pdf(content, label_print)


@require_safe
@never_cache
@lake_permission_required(Permission.PRINT_LABELS)
def label_print(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show labels that were printed again, with their file."""
    return _print_page(request, lake, _print_of(lake, pk))


def _print_page(
    request: SignedInRequest, lake: Lake, label_print: LabelPrint, problem: str = ""
) -> HttpResponse:
    context = _file_context(label_print) | {
        "lake": lake,
        "problem": problem,
        "numbers": queries.numbers_printed(label_print),
        "no_address": not queries.labels_carry_links(),
    }
    return render(request, "vials/print.html", context, status=422 if problem else 200)


@require_safe
@lake_permission_required(Permission.PRINT_LABELS)
def print_pdf(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponseBase:
    """Return labels that were printed again."""
    label_print = _print_of(lake, pk)
    try:
        content = _file_of(label_print)
    except CannotPrint as why:
        return _print_page(request, lake, label_print, problem=str(why))
    if content is None:
        return redirect("vials:print", lake.slug, pk)
    return _pdf(content, label_print)


def _file_of(label_print: LabelPrint) -> bytes | None:
    """Return the file of a print; nothing while a worker draws it.

    :raises CannotPrint: if there is nothing to print, no room, or no such stock any more
    """
    job = queries.print_job(label_print)
    if job is None:
        raise CannotPrint("This label stock is not listed any more. Reprint on another one.")
    return computed.find_file(job, now=timezone.now())


def _pdf(content: bytes, label_print: LabelPrint) -> FileResponse:
    first, last = queries.ends_of_print(label_print)
    name = f"labels-{first}-{last}.pdf" if first != last else f"label-{first}.pdf"
    # Saved, not shown: a browser's own viewer may scale what it prints.
    return FileResponse(
        io.BytesIO(content), as_attachment=True, filename=name, content_type="application/pdf"
    )


@require_safe
@lake_permission_required(Permission.PRINT_LABELS)
def print_status(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show how far the file of a print is, for the script of a page that waits."""
    computation = computed.find_computation(_print_of(lake, pk))
    words = _progress(computation) if computation else {"open": False}
    response = JsonResponse(words)
    response["Cache-Control"] = "no-store"
    return response


@require_POST
@lake_permission_required(Permission.PRINT_LABELS)
def draw_again(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Begin the file of a print again that could not be drawn."""
    label_print = _print_of(lake, pk)
    job = queries.print_job(label_print)
    if job is not None:
        computed.request_file(job, now=timezone.now(), again=True)
    if label_print.run_id:
        return redirect("vials:run", lake.slug, label_print.run_id)
    return redirect("vials:print", lake.slug, pk)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.PRINT_LABELS)
def reprint(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Print numbers again; the address may name them: ?numbers=26 0012 5."""
    form = _reprint_form(request, lake)
    if request.method == "POST" and "see" not in request.POST and form.is_valid():
        words = form.cleaned_data
        try:
            made = services.reprint(
                lake=lake,
                year=words["season"].number_year,
                ranges=words["ranges"],
                stock=words["stock"],
                start=form.start(),
                request_id=words["request_id"],
                actor=request.user,
                now=timezone.now(),
            )
        except services.CannotReprint as problem:
            form.add_problem(problem.field, str(problem), code=problem.code)
        else:
            return redirect("vials:print", lake.slug, made.pk)
    again = made_before(request, form)
    if again is not None:
        return redirect("vials:print", lake.slug, again.pk)
    status = 422 if form.is_bound and not form.is_valid() else 200
    context = sheets_context(form) | {
        "lake": lake,
        "no_address": not queries.labels_carry_links(),
        "prints": queries.prints_at(lake),
    }
    if not form.is_bound:
        context["sheets_problem"] = "Enter the numbers to preview the sheet."
    return render(request, "vials/reprint.html", context, status=status)


def _reprint_form(request: SignedInRequest, lake: Lake) -> forms.Reprint:
    if request.method == "POST":
        return forms.Reprint(request.POST, lake=lake)
    fresh = {"request_id": str(uuid4())}
    stock = request.GET.get("stock") or queries.last_stock(lake)
    numbers = request.GET.get("numbers", "").strip()
    season = queries.season_of_number(lake, numbers) or queries.newest_season_printed(lake)
    if not numbers or season is None:
        return forms.Reprint(initial={"season": season, "stock": stock, **fresh}, lake=lake)
    first = {"season": season.pk, "stock": stock, "sheet": queries.sheet_on_offer(lake, stock)}
    return forms.Reprint(first | request.GET.dict() | fresh, lake=lake)


@require_POST
@lake_permission_required(Permission.PRINT_LABELS)
def void(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Make spoiled numbers void."""
    row = _run_of(lake, pk)
    form = forms.VoidNumbers(request.POST)
    if form.is_valid():
        words = form.cleaned_data
        try:
            count = services.void_vials(
                lake=lake,
                first=words["void_first"],
                last=words["void_last"],
                note=words["note"],
                actor=request.user,
                now=timezone.now(),
            )
        except services.CannotMark as problem:
            form.add_problem(f"void_{problem.field}", str(problem), code=problem.code)
        else:
            are = "1 number is void. It is" if count == 1 else f"{count} numbers are void. They are"
            messages.success(request, f"{are} never used again.")
            return redirect("vials:run", lake.slug, pk)
    return _run_page(request, lake, row, spoiled=form)
