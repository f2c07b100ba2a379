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

from samples.accounts.doors import SignedInRequest, at_lake
from samples.accounts.roles import May
from samples.accounts.scope import fish_to_settle_at, held_entries_at
from samples.form_parts import PlainForm
from samples.models import HeldEntry, Lake
from samples.ramp import forms, queries, services

log = logging.getLogger(__name__)

A_PAGE = 50
WAYS: dict[str, type[PlainForm]] = {
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
@at_lake(May.SETTLE_HELD)
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
        "stories": queries.stories_of(waiting.filter(pk__in=[one.pk for one in page])),
        "fish_waiting": queries.waiting_for_a_vial(fish_to_settle_at(request.user, lake)),
        "settled": settled.order_by("-settled_at")[:20],
    }
    return render(request, "ramp/held.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@at_lake(May.SETTLE_HELD)
def held_entry(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Resolve one held entry."""
    entry = get_object_or_404(held_entries_at(request.user, lake), pk=pk)
    way = request.POST.get("way", "")
    if request.method != "POST" or way not in WAYS:
        return _page(request, lake, entry, {})
    form = _form_of(way, lake, request.POST)
    if not form.is_valid() or not _resolved(request, entry, way, form):
        return _page(request, lake, entry, {way: form}, status=422)
    messages.success(request, "Resolved. What was written is kept.")
    return redirect("ramp:held", lake.slug)


def _form_of(way: str, lake: Lake, typed: QueryDict | None = None) -> PlainForm:
    return forms.TripForm(typed, lake=lake) if way == "trip" else WAYS[way](typed)


def _resolved(request: SignedInRequest, entry: HeldEntry, way: str, form: PlainForm) -> bool:
    who: dict[str, Any] = {"actor": request.user, "now": timezone.now()}
    try:
        _resolve(entry, way, form.cleaned_data, who)
    except services.CannotSettle as problem:
        first_field = next(iter(form.fields))
        form.add_error(problem.field if problem.field in form.fields else first_field, str(problem))
        return False
    except services.TryLater as problem:
        log.exception("Held entry %s could not be settled", entry.pk)
        form.add_error(None, str(problem))
        return False
    return True


def _resolve(entry: HeldEntry, way: str, words: dict[str, Any], who: dict[str, Any]) -> None:
    note = next((text for name, text in words.items() if name.endswith("note")), "")
    if way == "keep":
        other = words["other_number"]
        services.let_held_fish_keep_vial(entry, other_number=other, note=note, **who)
    elif way == "number":
        number, confirmed = words["number"], words["number_confirmed"]
        services.give_other_number(entry, number=number, confirmed=confirmed, note=note, **who)
    elif way == "trip":
        trip = {name: words[name] for name in ("arm", "caught_on", "method")}
        confirmed = words["trip_confirmed"]
        services.give_trip(entry, **trip, confirmed=confirmed, note=note, **who)
    else:
        PLAIN_WAYS[way](entry, note=note, **who)


# Those that need no more than a note.
PLAIN_WAYS: dict[str, Callable[..., Any]] = {
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
    [story] = queries.stories_of(held_entries_at(request.user, lake).filter(pk=entry.pk))
    context = {
        "lake": lake,
        "story": story,
        "ways": {way: bound.get(way, _form_of(way, lake)) for way in WAYS},
        "form": next(iter(bound.values()), None),
    }
    return render(request, "ramp/held_entry.html", context, status=status)


@require_POST
@at_lake(May.SETTLE_HELD)
def give_vial(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Give a fish that waits for a vial the number that its otoliths are in."""
    fish = get_object_or_404(fish_to_settle_at(request.user, lake), pk=pk)
    number = request.POST.get("number", "")
    try:
        services.assign_vial(fish, number=number, actor=request.user, now=timezone.now())
    except (services.CannotSettle, services.TryLater) as problem:
        messages.error(request, f"{problem} Typed was: {number or 'nothing'}.")
    else:
        messages.success(request, "The fish has its vial.")
    return redirect("ramp:held", lake.slug)
