"""Entries that wait for the office, with both stories side by side."""

import logging
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.doors import SignedInRequest, at_lake
from samples.accounts.roles import May, may
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
    "aside": forms.AsideForm,
    "in": forms.TakeInForm,
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
    """Settle one held entry."""
    entry = get_object_or_404(held_entries_at(request.user, lake), pk=pk)
    way = request.POST.get("way", "")
    if way == "in" and not may(request.user, May.SEE_FISH, lake):
        raise PermissionDenied("Late corrections are the biologist's to take in.")
    if request.method != "POST" or way not in WAYS:
        return _page(request, lake, entry, {})
    form = WAYS[way](request.POST)
    if not form.is_valid() or not _settled(request, entry, way, form):
        return _page(request, lake, entry, {way: form}, status=422)
    messages.success(request, "Settled. What was said is kept.")
    return redirect("ramp:held", lake.slug)


def _settled(request: SignedInRequest, entry: HeldEntry, way: str, form: PlainForm) -> bool:
    words = form.cleaned_data
    who: dict[str, Any] = {"by": request.user, "now": timezone.now()}
    try:
        if way == "keep":
            services.let_held_fish_keep_vial(
                entry, other_number=words["other_number"], note=words["keep_note"], **who
            )
        elif way == "number":
            services.give_other_number(
                entry, number=words["number"], note=words["number_note"], **who
            )
        elif way == "wait":
            services.let_both_wait(entry, note=words["wait_note"], **who)
        elif way == "in":
            services.take_in(entry, note=words["in_note"], **who)
        else:
            services.set_aside(entry, note=words["note"], **who)
    except services.CannotSettle as problem:
        first_field = next(iter(form.fields))
        form.add_error(problem.field if problem.field in form.fields else first_field, str(problem))
        return False
    except services.TryLater as problem:
        log.exception("Held entry %s could not be settled", entry.pk)
        form.add_error(None, str(problem))
        return False
    return True


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
        "keep": bound.get("keep", forms.KeepForm()),
        "number": bound.get("number", forms.OtherNumberForm()),
        "wait": bound.get("wait", forms.BothWaitForm()),
        "aside": bound.get("aside", forms.AsideForm()),
        "take_in": bound.get("in", forms.TakeInForm()),
        "may_take_in": may(request.user, May.SEE_FISH, lake),
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
        services.give_vial(fish, number=number, by=request.user, now=timezone.now())
    except (services.CannotSettle, services.TryLater) as problem:
        messages.error(request, f"{problem} Typed was: {number or 'nothing'}.")
    else:
        messages.success(request, "The fish has its vial.")
    return redirect("ramp:held", lake.slug)
