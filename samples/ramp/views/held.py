"""Entries that wait for the office, with both stories side by side."""

import logging
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import fish_to_settle_at, held_entries_at
from samples.form_parts import PlainForm
from samples.models import HeldEntry, Lake
from samples.ramp import forms, queries, services

log = logging.getLogger(__name__)

A_PAGE = 50
RESOLUTION_FORMS: dict[str, type[PlainForm]] = {
    "keep": forms.KeepForm,
    "number": forms.OtherNumberForm,
    "wait": forms.BothWaitForm,
    "trip": forms.TripForm,
    "written": forms.AsWrittenForm,
    "new": forms.NewWordsForm,
    "back": forms.VialBackForm,
    "in": forms.TakeInForm,
    "aside": forms.AsideForm,
}


@require_safe
@lake_permission_required(Permission.SETTLE_HELD)
def held(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the held entries that are open, and the last ones settled."""
    entries = held_entries_at(request.user, lake)
    waiting = entries.filter(state=HeldEntry.State.OPEN)
    page = Paginator(waiting.order_by("received_at", "pk"), A_PAGE).get_page(
        request.GET.get("page")
    )
    settled = entries.filter(state=HeldEntry.State.SETTLED).select_related("said_by", "settled_by")
    context = {
        "lake": lake,
        "page": page,
        "cases": queries.held_cases(waiting.filter(pk__in=[one.pk for one in page])),
        "fish_waiting": queries.waiting_for_a_vial(fish_to_settle_at(request.user, lake)),
        "settled": settled.order_by("-settled_at")[:20],
    }
    return render(request, "ramp/held.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.SETTLE_HELD)
def held_entry(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Resolve one held entry."""
    entry = get_object_or_404(held_entries_at(request.user, lake), pk=pk)
    way = request.POST.get("way", "")
    if request.method != "POST" or way not in RESOLUTION_FORMS:
        return _page(request, lake, entry, {})
    form = _form_of(way, lake, request.POST)
    if not form.is_valid() or not _resolved(request, entry, way, form):
        return _page(request, lake, entry, {way: form}, status=422)
    messages.success(request, "Resolved. The original entry stays on record.")
    return redirect("ramp:held", lake.slug)


def _form_of(resolution: str, lake: Lake, typed: QueryDict | None = None) -> PlainForm:
    return (
        forms.TripForm(typed, lake=lake)
        if resolution == "trip"
        else RESOLUTION_FORMS[resolution](typed)
    )


def _resolved(request: SignedInRequest, entry: HeldEntry, resolution: str, form: PlainForm) -> bool:
    who: dict[str, Any] = {"actor": request.user, "now": timezone.now()}
    try:
        _resolve(entry, resolution, form.cleaned_data, who)
    except services.CannotSettle as problem:
        first_field = next(iter(form.fields))
        field = problem.field if problem.field in form.fields else first_field
        form.add_problem(field, str(problem), code=problem.code)
        return False
    except services.TryLater as problem:
        log.exception("Held entry %s could not be settled", entry.pk)
        form.add_problem(None, str(problem), code=problem.code)
        return False
    return True


def _resolve(
    entry: HeldEntry, resolution: str, cleaned_data: dict[str, Any], who: dict[str, Any]
) -> None:
    note = next((text for name, text in cleaned_data.items() if name.endswith("note")), "")
    if resolution == "keep":
        other = cleaned_data["other_number"]
        services.let_held_fish_keep_vial(entry, other_number=other, note=note, **who)
    elif resolution == "number":
        number, confirmed = cleaned_data["number"], cleaned_data["number_confirmed"]
        services.give_other_number(entry, number=number, confirmed=confirmed, note=note, **who)
    elif resolution == "trip":
        trip = {name: cleaned_data[name] for name in ("arm", "caught_on", "method")}
        confirmed = cleaned_data["trip_confirmed"]
        services.give_trip(entry, **trip, confirmed=confirmed, note=note, **who)
    else:
        NOTE_ONLY_RESOLUTIONS[resolution](entry, note=note, **who)


# Those that need no more than a note.
NOTE_ONLY_RESOLUTIONS: dict[str, Callable[..., Any]] = {
    "wait": services.let_both_wait,
    "written": services.save_as_written,
    "new": services.apply_second_version,
    "back": services.bring_vial_back,
    "in": services.apply_as_written,
    "aside": services.set_aside,
}


def _page(
    request: SignedInRequest,
    lake: Lake,
    entry: HeldEntry,
    bound: dict[str, PlainForm],
    status: int = 200,
) -> HttpResponse:
    [case] = queries.held_cases(held_entries_at(request.user, lake).filter(pk=entry.pk))
    context = {
        "lake": lake,
        "case": case,
        "resolution_forms": {way: bound.get(way, _form_of(way, lake)) for way in RESOLUTION_FORMS},
        "form": next(iter(bound.values()), None),
    }
    return render(request, "ramp/held_entry.html", context, status=status)


@require_POST
@lake_permission_required(Permission.SETTLE_HELD)
def give_vial(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Assign a vial to a fish that waits for one."""
    fish = get_object_or_404(fish_to_settle_at(request.user, lake), pk=pk)
    number = request.POST.get("number", "")
    try:
        services.assign_vial(fish, number=number, actor=request.user, now=timezone.now())
    except (services.CannotSettle, services.TryLater) as problem:
        sentence = f"{problem} Typed was: {number or 'nothing'}."
        messages.error(request, sentence, extra_tags=problem.code)
    else:
        messages.success(request, "The fish has its vial.")
    return redirect("ramp:held", lake.slug)
