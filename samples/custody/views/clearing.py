"""Pages where vials are put to clear, made ready, rinsed and dried."""

from __future__ import annotations

from datetime import date
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import vials_at
from samples.custody import forms, queries, services
from samples.models import Lake
from samples.rules.lake_time import local_day
from samples.rules.vial_number import grouped
from samples.vials.views.parts import BY_SCRIPT


def _today(lake: Lake) -> date:
    return local_day(timezone.now(), lake.time_zone)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def trays(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the trays in use, and start another."""
    today = _today(lake)
    form = forms.StartTrayForm(
        request.POST or None, media=queries.media_of(lake), initial={"started_on": today}
    )
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        try:
            tray = services.start_tray(
                lake=lake,
                name=cleaned["name"],
                medium=form.chosen.medium,
                preparation=form.chosen.preparation,
                species=form.chosen.species,
                size=cleaned["size"],
                started_on=cleaned["started_on"],
                actor=request.user,
                now=timezone.now(),
                today=today,
            )
        except services.CannotClear as problem:
            form.add_problem(problem.field, str(problem), code=problem.code)
        else:
            return redirect("custody:tray", lake.slug, tray.pk)
    vials = vials_at(request.user, lake)
    context = {
        "lake": lake,
        "form": form,
        "rows": queries.tray_rows(lake, today),
        "waiting": queries.waiting_to_clear(vials).count(),
        "today": today,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "custody/trays.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def media(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Say what otoliths are cleared in, by species and preparation."""
    if request.method == "POST" and "remove" in request.POST:
        return _forget_medium(request, lake)
    usual = queries.media_of(lake)[0].medium
    initial = {name: getattr(usual, name) for name in type(usual).__slots__}
    form = forms.MediumForm(request.POST or None, lake=lake, initial=initial)
    if request.method == "POST" and form.is_valid():
        services.set_medium(
            lake=lake,
            species=form.cleaned_data["species"],
            preparation=form.cleaned_data["preparation"],
            medium=form.medium(),
            actor=request.user,
            now=timezone.now(),
        )
        messages.success(request, "Saved. Trays started from now on use it.")
        return redirect("custody:media", lake.slug)
    context = {"lake": lake, "form": form, "rows": queries.media_of(lake)}
    status = 422 if request.method == "POST" else 200
    return render(request, "custody/media.html", context, status=status)


def _forget_medium(request: SignedInRequest, lake: Lake) -> HttpResponse:
    typed = request.POST["remove"]
    pk = int(typed) if typed.isdecimal() and len(typed) < 10 else 0
    if services.forget_medium(lake=lake, pk=pk, actor=request.user, now=timezone.now()):
        messages.success(request, "Removed. Trays already started keep their medium.")
    else:
        messages.error(request, "This medium is already removed.", extra_tags="gone")
    return redirect("custody:media", lake.slug)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def tray(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Scan vials into one tray, one after another, and undo the last scan."""
    row = _row(lake, pk)
    if request.method == "POST" and "undo" in request.POST:
        return _undo(request, lake, row)
    form = forms.ScanForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        what = request.GET.get("early", "")
        return _tray_page(request, lake, pk, form, early=what if row.is_early(what) else "")
    now = timezone.now()
    try:
        scanned = services.put_in_tray(
            tray=row.tray,
            number=form.cleaned_data["number"],
            move="move" in request.POST,
            actor=request.user,
            now=now,
            today=local_day(now, lake.time_zone),
        )
    except services.CannotClear as problem:
        form.add_problem("number", str(problem), code=problem.code)
        return _tray_page(request, lake, pk, form, problem)
    level = messages.SUCCESS if scanned.first_time else messages.WARNING
    messages.add_message(request, level, _scanned_message(scanned, row))
    if BY_SCRIPT in request.headers:
        return _tray_page(request, lake, pk, forms.ScanForm())
    return redirect("custody:tray", lake.slug, pk)


def _row(lake: Lake, pk: int) -> queries.TrayRow:
    row = queries.tray_counted(lake, pk, _today(lake))
    if row is None:
        raise Http404
    return row


def _undo(request: SignedInRequest, lake: Lake, row: queries.TrayRow) -> HttpResponse:
    try:
        undone = services.undo_scan(
            tray=row.tray,
            number=request.POST["undo"],
            actor=request.user,
            now=timezone.now(),
        )
    except services.CannotClear as problem:
        messages.error(request, str(problem), extra_tags=problem.code)
    else:
        where = f"back in tray {undone.moved_from.name}" if undone.moved_from else "out of the tray"
        messages.success(request, f"{grouped(undone.vial.number)} is {where}.")
    return redirect("custody:tray", lake.slug, row.tray.pk)


def _scanned_message(scanned: services.InTray, row: queries.TrayRow) -> str:
    place = f"in tray {row.tray.name}, place {scanned.place}"
    number = grouped(scanned.vial.number)
    if not scanned.first_time:
        return f"{number} was already {place}. Counted once."
    moved = f", moved from tray {scanned.moved_from.name}" if scanned.moved_from else ""
    no_log = "" if scanned.fish else " Its fish is not logged yet."
    return f"{number} {place}{moved}.{no_log}"


def _tray_page(
    request: SignedInRequest,
    lake: Lake,
    pk: int,
    form: forms.ScanForm,
    problem: services.CannotClear | None = None,
    early: str = "",
) -> HttpResponse:
    row = _row(lake, pk)
    last = queries.last_scan(row.tray, request.user)
    context = {
        "lake": lake,
        "form": form,
        "problem": problem,
        "row": row,
        "tray": row.tray,
        "last": last,
        "undo_number": last.vial.number if last and row.tray.dried_on is None else "",
        "cells": queries.cells_of(row.tray, last),
        "tally": queries.tally_of(row.tray, row.count, last),
        # What was asked for before its day, and is to be confirmed.
        "early": early,
    }
    return render(request, "custody/tray.html", context, status=422 if form.problems else 200)


@require_POST
@lake_permission_required(Permission.MOVE_VIALS)
def finish_tray(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Make a tray's vials ready to read, or rinse and dry it."""
    row = _row(lake, pk)
    is_dry = request.POST.get("what") == "dry"
    finish = services.dry_tray if is_dry else services.mark_ready
    now = timezone.now()
    try:
        done = finish(
            tray=row.tray,
            early="early" in request.POST,
            actor=request.user,
            now=now,
            today=local_day(now, lake.time_zone),
        )
    except services.CannotClear as problem:
        if problem.remedy == "early":
            # Asked on the tray's own page: the next scan, a reload and Back find it there.
            early = urlencode({"early": "dry" if is_dry else "ready"})
            return redirect(f"{reverse('custody:tray', args=[lake.slug, pk])}?{early}")
        messages.error(request, str(problem), extra_tags=problem.code)
        return redirect("custody:tray", lake.slug, pk)
    messages.success(request, _finished_message(row, done, is_dry=is_dry))
    return redirect(
        "custody:trays" if is_dry else "custody:tray", lake.slug, *([] if is_dry else [pk])
    )


def _finished_message(row: queries.TrayRow, done: services.Readied, *, is_dry: bool) -> str:
    vials = "1 vial" if done.count == 1 else f"{done.count} vials"
    if is_dry:
        ready = f" {vials} ready to read." if done.count else ""
        return f"Tray {row.tray.name} is rinsed and dry; its name is free again.{ready}"
    rest = f" {done.still_clearing} clear on." if done.still_clearing else ""
    return f"{vials} ready to read in tray {row.tray.name}.{rest} Rinse by {_rinse(row)}."


def _rinse(row: queries.TrayRow) -> str:
    return date_format(row.tray.rinse_by) if row.tray.rinse_by else "any day"
