"""Opening, changing and closing a party, and what belongs to its end."""

from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts.doors import SignedInRequest, may_somewhere
from samples.accounts.roles import May, lakes_where
from samples.accounts.scope import parties_logged_by
from samples.models import Fish, Lake, Method, Party
from samples.ramp import forms, queries
from samples.ramp.entry import PartyChanged, PartyOpened
from samples.ramp.views import trips
from samples.ramp.views.answering import Page, submit_entry
from samples.ramp.views.logging_fish import redirect_with_vial
from samples.rules import trips as trip_rules
from samples.rules.lake_time import local_day
from samples.rules.plausible import Question


def _page(request: SignedInRequest, template: str, context: dict[str, Any]) -> Page:
    return lambda status: render(request, template, context, status=status)


def _party_form(
    request: SignedInRequest, lakes: list[Lake], kind: type[forms.PartyForm], **kwargs: Any
) -> forms.PartyForm:
    data = request.POST if request.method == "POST" else None
    return kind(
        data,
        lakes=lakes,
        arms=[arm for lake in lakes for arm in queries.arms_of(lake)],
        for_others=bool(lakes_where(request.user, May.LOG_FOR_OTHERS)),
        **kwargs,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@may_somewhere(May.LOG_FISH)
def open_party(request: SignedInRequest) -> HttpResponse:
    """Open a party: once for a trip, an interview or a net set."""
    lakes = lakes_where(request.user, May.LOG_FISH)
    now = timezone.now()
    before = queries.open_party_of(request.user)
    form = _party_form(request, lakes, forms.PartyForm, initial=_last_words(request, lakes[0], now))
    context = {
        "form": form,
        "lakes": lakes,
        "for_others": bool(lakes_where(request.user, May.LOG_FOR_OTHERS)),
        "before": trips.name_of(before) if before else "",
        "ended": queries.ended_today(request.user, now),
    }
    page = _page(request, "ramp/party.html", context)
    if request.method != "POST":
        return page(200)

    def go_on() -> HttpResponse:
        if before is not None and before != queries.open_party_of(request.user):
            messages.success(request, trips.end_before(request, before, now))
        return redirect_with_vial("ramp:log", request.GET.get("vial", ""))

    return submit_entry(
        request,
        form,
        page,
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


def _last_words(request: SignedInRequest, lake: Lake, now: datetime) -> dict[str, Any]:
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
    clerk = lake in lakes_where(request.user, May.LOG_FOR_OTHERS)
    return Method.CREEL.value if clerk else Method.ANGLER_KEPT.value


def _next_key(last: Party | None, today: date) -> str:
    """Count the key of the last interview of the day on."""
    if last is None or local_day(last.opened_at, last.lake.time_zone) != today:
        return ""
    return trip_rules.key_after(last.interview_key)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@may_somewhere(May.LOG_FISH)
def change_party(request: SignedInRequest) -> HttpResponse:
    """Put a party right, or go on to another arm with it."""
    party = queries.party_of_page(request.user, request.POST.get("for_party", ""))
    if party is None:
        return redirect("ramp:open_party")
    form = _party_form(
        request,
        [party.lake],
        forms.PartyChangeForm,
        party_id=party.party_id,
        initial=forms.initial_of_party(party),
    )
    context = {"form": form, "party": party, "change": True}
    page = _page(request, "ramp/party.html", context)
    if request.method != "POST":
        return page(200)

    now = timezone.now()

    def asks(entry: PartyChanged) -> bool:
        return _asks_about_date(form, entry, party.lake, now) or asks_about_arm(entry)

    def asks_about_arm(entry: PartyChanged) -> bool:
        has_fish = Fish.objects.filter(party=party, withdrawn=False).exists()
        if entry.party.arm == party.arm.name or not has_fish or request.POST.get("arm_change"):
            return False
        context["arm_asked"] = entry.party.arm
        return True

    return submit_entry(
        request,
        form,
        page,
        now=now,
        still_asks=asks,
        done="Trip changed.",
        onward=lambda: redirect("ramp:log"),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@may_somewhere(May.LOG_FISH)
def close_party(request: SignedInRequest) -> HttpResponse:
    """Close a party by the count in hand: a skipped or doubled vial shows here."""
    party = queries.party_of_page(request.user, request.POST.get("for_party", ""))
    if party is None:
        return redirect("ramp:open_party")
    counted = queries.count_of(party)
    form = forms.CloseForm(
        request.POST if request.method == "POST" else None, party_id=party.party_id
    )
    page = _page(request, "ramp/close.html", {"form": form, "party": party, "counted": counted})
    if request.method != "POST":
        return page(200)
    return submit_entry(
        request,
        form,
        page,
        now=timezone.now(),
        still_asks=lambda entry: _asks_about_count(form, counted),
        done=f"Trip ended with {counted.logged} fish.",
        onward=lambda: redirect("ramp:open_party"),
    )


def _asks_about_count(form: forms.CloseForm, counted: queries.PartyCount) -> bool:
    form.ask(_what_differs(form, counted))
    return bool(form.questions)


def _what_differs(form: forms.CloseForm, counted: queries.PartyCount) -> list[Question]:
    """Give the first question that is still open: one at a time, with one clear answer."""
    in_hand = form.cleaned_data["count_in_hand"]
    last = "".join(form.cleaned_data["last_number"].split())
    asked = trip_rules.closing_questions(in_hand, last, counted.vials)
    return [one for one in asked if one.code not in form.codes][:1]


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@may_somewhere(May.LOG_FISH)
def shift(request: SignedInRequest) -> HttpResponse:
    """Move every fish, from one vial on, to the next vial or to the one before."""
    party = queries.party_of_page(request.user, request.POST.get("for_party", ""))
    if party is None:
        return redirect("ramp:open_party")
    fish = queries.fish_in_vials(party)
    form = forms.ShiftForm(
        request.POST if request.method == "POST" else None, fish=fish, party_id=party.party_id
    )
    page = _page(request, "ramp/shift.html", {"form": form, "party": party, "fish": fish})
    if request.method != "POST":
        return page(200)
    return submit_entry(
        request,
        form,
        page,
        now=timezone.now(),
        done="Vials moved by one. Check the last fish against its label.",
        onward=lambda: redirect("ramp:log"),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@may_somewhere(May.LOG_FOR_OTHERS)
def count(request: SignedInRequest) -> HttpResponse:
    """Note fish that were counted and not measured."""
    party = queries.party_of_page(request.user, request.POST.get("for_party", ""))
    if party is None:
        return redirect("ramp:open_party")
    form = forms.CountForm(
        request.POST if request.method == "POST" else None,
        species=queries.species_on_form(party.lake),
        party_id=party.party_id,
    )
    counts = queries.unmeasured_in(party)
    page = _page(request, "ramp/count.html", {"form": form, "party": party, "counts": counts})
    if request.method != "POST":
        return page(200)
    return submit_entry(
        request,
        form,
        page,
        now=timezone.now(),
        done="Count saved.",
        onward=lambda: redirect("ramp:count"),
    )
