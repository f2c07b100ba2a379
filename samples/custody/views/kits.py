"""Pages of kits: who holds what, what goes out with a kit, and vials that change hands."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.contrib import messages
from django.db import transaction
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts import links, security_log
from samples.accounts.client_address import caller_of
from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission, lakes_with_permission
from samples.accounts.selectors import vials_at
from samples.accounts.views.people import link_address
from samples.custody import forms, pdf, queries, services
from samples.custody.presenters.kits import kit_card, permit_expired
from samples.models import Lake, Season, SecurityEvent, User
from samples.ramp.queries import season_for
from samples.rules.lake_time import local_day
from samples.rules.vial_number import VialNumberRefused, grouped, parse
from samples.vials.queries import Hand, vials_in_hands
from samples.vials.services import CannotReturnVials, return_vials

# Asked about first: the person's phone offers other vials from then on.
ASKED_FIRST = {"pass", "lost"}


@require_safe
@lake_permission_required(Permission.MOVE_VIALS)
def kits(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List who holds which vials of a season, and who has used how many."""
    today = local_day(timezone.now(), lake.time_zone)
    usual = season_for(lake, today)
    form = forms.SeasonForm(
        request.GET if "season" in request.GET else None, lake=lake, initial={"season": usual}
    )
    season = form.cleaned_data["season"] if form.is_bound and form.is_valid() else usual
    context = {
        "lake": lake,
        "form": form,
        "season": season,
        "holders": queries.holders(lake, season, today) if season else [],
    }
    return render(request, "custody/kits.html", context, status=422 if form.problems else 200)


def _person(lake: Lake, pk: int) -> User:
    here = Q(memberships__lake=lake) | Q(vials_in_hand__lake=lake)
    return get_object_or_404(User.objects.filter(here).distinct(), pk=pk)


def _hand(request: SignedInRequest, lake: Lake, person: User, season: Season | None = None) -> Hand:
    """Return what a person holds unused, of one season or of all."""
    vials = vials_at(request.user, lake).filter(issued_to=person)
    if season is not None:
        vials = vials.filter(season=season)
    return next(iter(vials_in_hands(vials)), Hand(person.pk, str(person), 0, []))


def _season(request: SignedInRequest, lake: Lake, today: date) -> Season | None:
    """Return the season that the list was of, else the one of today."""
    asked = request.POST.get("season") or request.GET.get("season", "")
    if asked.isdecimal() and len(asked) < 10:
        return get_object_or_404(Season, lake=lake, pk=asked)
    return season_for(lake, today)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def holder(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show what one person holds unused, and note what became of it."""
    person = _person(lake, pk)
    today = local_day(timezone.now(), lake.time_zone)
    season = _season(request, lake, today)
    everything, hand = _hand(request, lake, person), _hand(request, lake, person, season)
    initial = _range_asked(request, everything)
    form = forms.HandsForm(request.POST or None, lake=lake, holder=person, initial=initial)
    leaving: list[str] = []
    if request.method == "POST" and form.is_valid():
        try:
            if form.cleaned_data["what"] in ASKED_FIRST and "sure" not in request.POST:
                leaving = _leaving(lake, person, form.cleaned_data)
            else:
                messages.success(request, _change_hands(request, lake, person, form.cleaned_data))
                return redirect(_page_of(lake, pk, season))
        except (services.CannotChangeHands, CannotReturnVials) as problem:
            form.add_problem(problem.field, str(problem), code=problem.code)
    may_link = _may_print_link(request, lake, person)
    has_link = links.has_live_link(person, today=links.day_of_links(timezone.now()))
    context = {
        "lake": lake,
        "person": person,
        "hand": hand,
        "season": season,
        "older": everything.count - hand.count,
        "stretches": everything.stretches,
        "expired": permit_expired(season, today),
        "form": form,
        "question": leaving,
        "card_form": forms.CardForm(
            initial={"paper": "letter", "link": may_link and not has_link, "request_id": uuid4()}
        ),
        "may_link": may_link,
        "has_link": has_link,
        "reason": _why_no_link(lake, person),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "custody/holder.html", context, status=status)


def _page_of(lake: Lake, pk: int, season: Season | None) -> str:
    address = reverse("custody:holder", args=[lake.slug, pk])
    return f"{address}?{urlencode({'season': season.pk})}" if season else address


def _range_asked(request: SignedInRequest, hand: Hand) -> dict[str, str]:
    """Return the stretch that was pointed at: nothing is filled in unasked."""
    asked = request.GET.get("first", "")
    stretch = next((one for one in hand.stretches if one.first == asked), None)
    return {"first": grouped(stretch.first), "last": grouped(stretch.last)} if stretch else {}


def _leaving(lake: Lake, person: User, cleaned: dict[str, Any]) -> list[str]:
    """Return which vials the question is about, before anybody is asked it."""
    return services.check_leaving(
        lake=lake,
        holder=person,
        first=cleaned["first"],
        last=cleaned["last"],
        to=cleaned["to"] if cleaned["what"] == "pass" else None,
    )


def _change_hands(
    request: SignedInRequest, lake: Lake, person: User, cleaned: dict[str, Any]
) -> str:
    common: dict[str, Any] = {
        "lake": lake,
        "holder": person,
        "first": cleaned["first"],
        "last": cleaned["last"],
        "actor": request.user,
        "now": timezone.now(),
    }
    if cleaned["what"] == "pass":
        done, words = services.pass_on(to=cleaned["to"], **common), f"passed on to {cleaned['to']}"
    elif cleaned["what"] == "lost":
        done, words = services.lose(note=cleaned["note"], **common), "marked lost"
    else:
        done, words = return_vials(**common), "back in the office"
    vials = "1 vial is" if done.count == 1 else f"{done.count} vials are"
    rest = f" {done.left_out} of the range were not unused here." if done.left_out else ""
    return f"{vials} {words}.{rest}"


def _may_print_link(request: SignedInRequest, lake: Lake, person: User) -> bool:
    # Vials of this lake may be in the hands of a guide of another: their links are made there.
    return lake in lakes_with_permission(request.user, Permission.PRINT_LINKS) and not _why_no_link(
        lake, person
    )


def _why_no_link(lake: Lake, person: User) -> str:
    if not links.may_have_link(person):
        return f"{person} signs in with a password."
    if not has_permission(person, Permission.LOG_FISH, lake):
        return f"{person} is not set up to log fish at {lake}."
    return ""


@never_cache
@require_POST
@lake_permission_required(Permission.MOVE_VIALS)
def card_pdf(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Give the card of a kit, with a new personal link where one is asked for."""
    person = _person(lake, pk)
    now = timezone.now()
    today = local_day(now, lake.time_zone)
    season = _season(request, lake, today)
    hand = _hand(request, lake, person, season)
    form = forms.CardForm(request.POST)
    if not form.is_valid() or not hand.count:
        words = form.problems[0][1] if form.problems else f"{person} holds no unused vials."
        messages.error(request, words, extra_tags="no_card")
        return redirect(_page_of(lake, pk, season))
    token = ""
    if form.cleaned_data["link"] and _may_print_link(request, lake, person):
        token = links.token_of_request(
            form.cleaned_data["request_id"], person=person, made_by=request.user
        )
    card = kit_card(
        lake=lake,
        season=season,
        person=person,
        hand=hand,
        link=link_address(request, token) if token else "",
        today=today,
    )
    content = pdf.kit_card_pdf(card, form.cleaned_data["paper"])
    # Only now: a card that could not be drawn leaves no link behind.
    if token:
        try:
            _keep_link(request, lake, person, token, now)
        except links.LinkRefused as problem:
            messages.error(request, str(problem), extra_tags=problem.code)
            return redirect(_page_of(lake, pk, season))
    response = HttpResponse(content, content_type="application/pdf")
    name = slugify(str(person)) or str(pk)
    response["Content-Disposition"] = f'attachment; filename="kit-card-{name}.pdf"'
    return response


@transaction.atomic
def _keep_link(
    request: SignedInRequest, lake: Lake, person: User, token: str, now: datetime
) -> None:
    """Let the link of a card sign its person in, and note who made it."""
    good_until, _ = links.days_for_link(lake, today=local_day(now, lake.time_zone))
    made = links.make_link(
        person, made_by=request.user, good_until=good_until, now=now, token=token
    )
    if not made.is_new:
        return
    security_log.note(
        SecurityEvent.Kind.LINK_MADE,
        caller=caller_of(request),
        now=now,
        person=person,
        done_by=request.user,
    )


@require_safe
@lake_permission_required(Permission.MOVE_VIALS)
def slips_pdf(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Give slips to put inside the vials that a person holds unused."""
    person = _person(lake, pk)
    season = _season(request, lake, local_day(timezone.now(), lake.time_zone))
    numbers = queries.unused_vials(lake, person, season if "season" in request.GET else None)
    if "first" in request.GET or "last" in request.GET:
        first, last = (_whole(request.GET.get(end, "")) for end in ("first", "last"))
        # A range that can't be read is none, and never all.
        numbers = [number for number in numbers if first and first <= number <= last]
    if not numbers:
        words = f"{person} holds no unused vials of this range."
        messages.error(request, words, extra_tags="no_slips")
        return redirect(_page_of(lake, pk, season))
    content = pdf.slips_pdf(lake.name, [grouped(number) for number in numbers])
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="slips.pdf"'
    return response


def _whole(typed: str) -> str:
    """Return a vial number as it is kept; nothing where it is none."""
    try:
        return parse(typed).number
    except VialNumberRefused:
        return ""
