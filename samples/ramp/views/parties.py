"""Opening, changing and closing a party, and what belongs to its end."""

from collections.abc import Callable
from datetime import date, datetime
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, permission_required
from samples.accounts.permissions import Permission, lakes_with_permission
from samples.accounts.selectors import parties_logged_by
from samples.models import Lake, Method, Party
from samples.ramp import forms, queries
from samples.ramp.entry import PartyChanged, PartyOpened
from samples.ramp.views import trips
from samples.ramp.views.answering import submit_entry
from samples.ramp.views.logging_fish import redirect_with_vial
from samples.rules import trips as trip_rules
from samples.rules.lake_time import local_day

# A page about one party: the one that the form names, or else the one in hand.
PartyPage = Callable[[SignedInRequest, Party], HttpResponse]


def _about_a_party(
    permission: Permission,
) -> Callable[[PartyPage], Callable[[HttpRequest], HttpResponseBase]]:
    """Open the page with its party to those who may do this; without one, a party comes first."""

    def wrap(page: PartyPage) -> Callable[[HttpRequest], HttpResponseBase]:
        @require_http_methods(["GET", "HEAD", "POST"])
        @never_cache
        @permission_required(permission)
        @wraps(page)
        def door(request: SignedInRequest) -> HttpResponse:
            party = queries.party_of_page(request.user, request.POST.get("for_party", ""))
            return redirect("ramp:open_party") if party is None else page(request, party)

        return door

    return wrap


def _show_or_take(
    request: SignedInRequest,
    form: forms.EntryForm,
    template: str,
    context: dict[str, Any],
    *,
    onward: str | Callable[[], HttpResponse],
    **how: Any,
) -> HttpResponse:
    """Show a form's page, or take in what was typed; then go ``onward``, to a page by its name."""

    def page(status: int) -> HttpResponse:
        return render(request, template, {"form": form, **context}, status=status)

    if request.method != "POST":
        return page(200)
    go_on = onward if callable(onward) else lambda: redirect(onward)
    how.setdefault("now", timezone.now())
    return submit_entry(request, form, page, onward=go_on, **how)


def _typed(request: SignedInRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def _party_form(
    request: SignedInRequest, lakes: list[Lake], kind: type[forms.PartyForm], **kwargs: Any
) -> forms.PartyForm:
    return kind(
        _typed(request),
        lakes=lakes,
        arms=[arm for lake in lakes for arm in queries.arms_of(lake)],
        for_others=bool(lakes_with_permission(request.user, Permission.LOG_FOR_OTHERS)),
        **kwargs,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@permission_required(Permission.LOG_FISH)
def open_party(request: SignedInRequest) -> HttpResponse:
    """Open a party: once for a trip, an interview or a net set."""
    lakes = lakes_with_permission(request.user, Permission.LOG_FISH)
    now = timezone.now()
    before = queries.open_party_of(request.user)
    form = _party_form(request, lakes, forms.PartyForm, initial=_initial(request, lakes[0], now))
    context = {
        "lakes": lakes,
        "for_others": bool(lakes_with_permission(request.user, Permission.LOG_FOR_OTHERS)),
        "before": trips.name_of(before) if before else "",
        "ended": queries.ended_today(request.user, now),
        "rules": queries.rules_before_first_trip(request.user, lakes, now),
    }

    def go_on() -> HttpResponse:
        if before is not None and before != queries.open_party_of(request.user):
            messages.success(request, trips.end_before(request, before, now))
        return redirect_with_vial("ramp:log", request.GET.get("vial", ""))

    return _show_or_take(
        request,
        form,
        "ramp/party.html",
        context,
        now=now,
        lake=request.POST.get("lake") or lakes[0].slug,
        still_asks=lambda entry: _asks_about_date(
            form, entry, _named(lakes, request.POST.get("lake")), now
        ),
        done=f"{form.data.get('arm', '')}: the trip is open.",
        onward=go_on,
    )


def _named(lakes: list[Lake], slug: str | None) -> Lake:
    return next((lake for lake in lakes if lake.slug == slug), lakes[0])


def _asks_about_date(
    form: forms.PartyForm, entry: PartyOpened | PartyChanged, lake: Lake, now: datetime
) -> bool:
    if entry.party.caught_on is None:
        return False
    asked = queries.date_questions(lake, entry.party.caught_on, now=now, confirmed=form.codes)
    form.ask(asked)
    return bool(asked)


def _initial(request: SignedInRequest, lake: Lake, now: datetime) -> dict[str, Any]:
    """Start from the last party: its arm and method are the likeliest; the date is today."""
    last = (
        parties_logged_by(request.user)
        .select_related("lake", "arm", "reach")
        .order_by("-opened_at", "-pk")
        .first()
    )
    at = last.lake if last else lake
    today = local_day(now, at.time_zone)
    first = {"lake": lake.slug, "method": _usual_method(request, lake)}
    words = forms.initial_of_party(last) if last else first
    return words | {
        "caught_on": today,
        "fish_in_box": None,
        "kept": words.get("kept", "fresh"),
        "interview_key": _next_key(last, today),
    }


def _usual_method(request: SignedInRequest, lake: Lake) -> str:
    clerk = lake in lakes_with_permission(request.user, Permission.LOG_FOR_OTHERS)
    return Method.CREEL.value if clerk else Method.ANGLER_KEPT.value


def _next_key(last: Party | None, today: date) -> str:
    """Count the key of the last interview of the day on."""
    if last is None or local_day(last.opened_at, last.lake.time_zone) != today:
        return ""
    return trip_rules.key_after(last.interview_key)


@_about_a_party(Permission.LOG_FISH)
def change_party(request: SignedInRequest, party: Party) -> HttpResponse:
    """Put a party right, or go on to another arm with it."""
    form = _party_form(
        request,
        [party.lake],
        forms.PartyChangeForm,
        party_id=party.party_id,
        initial=forms.initial_of_party(party),
    )
    context: dict[str, Any] = {"party": party, "change": True}
    now = timezone.now()

    def asks(entry: PartyChanged) -> bool:
        if _asks_about_date(form, entry, party.lake, now):
            return True
        arm = entry.party.arm
        open_yet = not request.POST.get("arm_change")
        if open_yet and trip_rules.asks_about_arm(party.arm.name, arm, queries.has_fish(party)):
            context["arm_asked"] = arm
        return "arm_asked" in context

    return _show_or_take(
        request,
        form,
        "ramp/party.html",
        context,
        now=now,
        still_asks=asks,
        done="Trip changed.",
        onward="ramp:log",
    )


@_about_a_party(Permission.LOG_FISH)
def close_party(request: SignedInRequest, party: Party) -> HttpResponse:
    """Close a party by the count in hand: a skipped or doubled vial shows here."""
    counted = queries.count_of(party)
    form = forms.CloseForm(_typed(request), party_id=party.party_id)
    return _show_or_take(
        request,
        form,
        "ramp/close.html",
        {"party": party, "counted": counted},
        still_asks=lambda entry: _asks_about_count(form, counted),
        done=f"Trip ended with {counted.logged} fish.",
        onward="ramp:open_party",
    )


def _asks_about_count(form: forms.CloseForm, counted: queries.PartyCount) -> bool:
    """Ask one question at a time, with one clear answer."""
    in_hand = form.cleaned_data["count_in_hand"]
    last = "".join(form.cleaned_data["last_number"].split())
    asked = trip_rules.closing_questions(in_hand, last, counted.vials)
    form.ask(trip_rules.first_unanswered(asked, form.codes))
    return bool(form.questions)


@_about_a_party(Permission.LOG_FISH)
def shift(request: SignedInRequest, party: Party) -> HttpResponse:
    """Move every fish, from one vial on, to the next vial or to the one before."""
    fish = queries.fish_in_vials(party)
    return _show_or_take(
        request,
        forms.ShiftForm(_typed(request), fish=fish, party_id=party.party_id),
        "ramp/shift.html",
        {"party": party, "fish": fish},
        done="Vials moved by one. Check the last fish against its label.",
        onward="ramp:log",
    )


@_about_a_party(Permission.LOG_FOR_OTHERS)
def count(request: SignedInRequest, party: Party) -> HttpResponse:
    """Note fish that were counted and not measured."""
    species = queries.species_on_form(party.lake)
    return _show_or_take(
        request,
        forms.CountForm(_typed(request), species=species, party_id=party.party_id),
        "ramp/count.html",
        {"party": party, "counts": queries.unmeasured_in(party)},
        done="Count saved.",
        onward="ramp:count",
    )
