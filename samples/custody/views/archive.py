"""Pages of the archive: boxes filled by scanning, vials taken out and brought back."""

from __future__ import annotations

from collections import Counter
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import vials_at
from samples.custody import forms, pdf, queries, services
from samples.models import ArchiveBox, Lake
from samples.rules.lake_time import local_day
from samples.rules.vial_number import grouped
from samples.vials.views.parts import BY_SCRIPT


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def archive(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the boxes, what waits for them and what is out of them, and add a box."""
    form = forms.BoxForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            made = services.make_box(
                lake=lake, actor=request.user, now=timezone.now(), **form.cleaned_data
            )
        except services.CannotArchive as problem:
            form.add_problem(problem.field, str(problem), code=problem.code)
        else:
            return redirect("custody:box", lake.slug, made.pk)
    vials = vials_at(request.user, lake)
    context = {
        "lake": lake,
        "form": form,
        "boxes": queries.box_rows(lake),
        "waiting": queries.waiting_to_archive(vials).count(),
        "unmapped": queries.unmapped_boxes(vials),
        "out": queries.taken_out(vials),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "custody/archive.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def box(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Scan vials into one box, slot after slot, and undo the last scan."""
    here = get_object_or_404(ArchiveBox.objects.select_related("lake"), lake=lake, pk=pk)
    if request.method == "POST" and "undo" in request.POST:
        return _undo(request, lake, here)
    form = forms.BoxScanForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return _box_page(request, lake, here, form)
    cleaned = form.cleaned_data
    try:
        scanned = services.put_in_box(
            box=here,
            number=cleaned["number"],
            slot=cleaned["slot"],
            proposed=cleaned["proposed"],
            unread="unread" in request.POST,
            move="move" in request.POST,
            actor=request.user,
            now=timezone.now(),
        )
    except services.CannotArchive as problem:
        form.add_problem(problem.field, str(problem), code=problem.code)
        return _box_page(request, lake, here, form, problem)
    level = messages.SUCCESS if scanned.first_time else messages.WARNING
    messages.add_message(request, level, _archived_message(scanned, here))
    if BY_SCRIPT in request.headers:
        return _box_page(request, lake, here, forms.BoxScanForm(), after=scanned.slot)
    after = {"after": scanned.slot}
    return redirect(f"{reverse('custody:box', args=[lake.slug, pk])}?{urlencode(after)}")


def _undo(request: SignedInRequest, lake: Lake, here: ArchiveBox) -> HttpResponse:
    try:
        undone = services.undo_archive(
            box=here, number=request.POST["undo"], actor=request.user, now=timezone.now()
        )
    except services.CannotArchive as problem:
        messages.error(request, str(problem), extra_tags=problem.code)
        return redirect("custody:box", lake.slug, here.pk)
    messages.success(request, f"{grouped(undone.vial.number)} is out of slot {undone.slot} again.")
    after = {"after": undone.slot}
    return redirect(f"{reverse('custody:box', args=[lake.slug, here.pk])}?{urlencode(after)}")


def _archived_message(scanned: services.InBox, here: ArchiveBox) -> str:
    number, place = grouped(scanned.vial.number), f"in box {here.name}, slot {scanned.slot}"
    if not scanned.first_time:
        return f"{number} was already {place}. Counted once."
    return f"{number} back {place}." if scanned.is_back else f"{number} {place}."


def _box_page(
    request: SignedInRequest,
    lake: Lake,
    here: ArchiveBox,
    form: forms.BoxScanForm,
    problem: services.CannotArchive | None = None,
    after: str = "",
) -> HttpResponse:
    last = queries.last_archived(here, request.user)
    rows = queries.slots_of_box(here, last)
    proposed = queries.proposed_slot(here, after or request.GET.get("after", ""))
    if not form.is_bound:
        form = forms.BoxScanForm(initial={"slot": proposed, "proposed": proposed})
    counted = Counter(slot.stands for _, slots in rows for slot in slots)
    counted["filled"] += counted.pop("last", 0)
    context = {
        "lake": lake,
        "form": form,
        "problem": problem,
        "box": here,
        "rows": rows,
        "columns": range(1, here.columns + 1),
        "proposed": proposed,
        "last": last,
        "undo_number": last.number if last else "",
        "counted": counted,
        "unmapped": queries.count_unmapped(vials_at(request.user, lake), here.name),
        "tally": queries.tally_of_box(here, last),
        "place_form": forms.PlaceForm(initial={"place": here.place}),
    }
    return render(request, "custody/box.html", context, status=422 if form.problems else 200)


@require_POST
@lake_permission_required(Permission.MOVE_VIALS)
def box_place(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Note where a box is kept."""
    here = get_object_or_404(ArchiveBox, lake=lake, pk=pk)
    form = forms.PlaceForm(request.POST)
    if form.is_valid():
        services.set_place(
            box=here, place=form.cleaned_data["place"], actor=request.user, now=timezone.now()
        )
        messages.success(request, "Saved.")
    else:
        sentence = form.problems[0][1]
        messages.error(request, sentence, extra_tags="too_long")
    return redirect("custody:box", lake.slug, pk)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def out(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take vials out of their boxes, and bring them back, by scanning."""
    is_back = request.POST.get("back", request.GET.get("back", "")) == "1"
    form = forms.ScanForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return _out_page(request, lake, form, is_back=is_back)
    number = form.cleaned_data["number"]
    try:
        words = _bring_back(request, lake, number) if is_back else _take_out(request, lake, number)
    except services.CannotArchive as problem:
        form.add_problem("number", str(problem), code=problem.code)
        return _out_page(request, lake, form, problem, is_back=is_back)
    messages.success(request, words)
    back = "?back=1" if is_back else ""
    return redirect(reverse("custody:out", args=[lake.slug]) + back)


def _take_out(request: SignedInRequest, lake: Lake, number: str) -> str:
    vial = services.take_out(lake=lake, number=number, actor=request.user, now=timezone.now())
    kept = f" Its slot is kept: {queries.in_box(vial)[4:]}." if vial.box_id else ""
    return f"{grouped(vial.number)} is out.{kept}"


def _bring_back(request: SignedInRequest, lake: Lake, number: str) -> str:
    back = services.bring_back_to_slot(
        lake=lake, number=number, actor=request.user, now=timezone.now()
    )
    again = "" if back.first_time else " already"
    return f"{grouped(back.vial.number)} is{again} back{queries.in_box(back.vial)}."


def _out_page(
    request: SignedInRequest,
    lake: Lake,
    form: forms.ScanForm,
    problem: services.CannotArchive | None = None,
    *,
    is_back: bool,
) -> HttpResponse:
    context = {
        "lake": lake,
        "form": form,
        "problem": problem,
        "is_back": is_back,
        "out": queries.taken_out(vials_at(request.user, lake)),
    }
    return render(request, "custody/out.html", context, status=422 if form.problems else 200)


@require_safe
@lake_permission_required(Permission.MOVE_VIALS)
def map_pdf(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Give the map of a box, to be laid into it."""
    here = get_object_or_404(ArchiveBox.objects.select_related("lake"), lake=lake, pk=pk)
    day = local_day(timezone.now(), lake.time_zone)
    return _pdf(
        pdf.box_map_pdf(here, queries.slots_of_box(here), day),
        f"box-{slugify(here.name) or pk}-map.pdf",
    )


@require_safe
@lake_permission_required(Permission.MOVE_VIALS)
def index_pdf(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Give the index of the archive: every vial by number, with its box and slot."""
    day = local_day(timezone.now(), lake.time_zone)
    lines = queries.archive_index(vials_at(request.user, lake))
    return _pdf(pdf.archive_index_pdf(lake, lines, day), "archive-index.pdf")


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
