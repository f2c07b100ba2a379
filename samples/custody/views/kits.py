"""Pages of kits: who holds what, what goes out with a kit, and vials that change hands."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts import links, security_log
from samples.accounts.client_address import caller_of
from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission, lakes_with_permission
from samples.accounts.selectors import vials_at
from samples.accounts.views.people import link_address
from samples.custody import forms, pdf, queries, services
from samples.custody.presenters.kits import kit_card
from samples.models import Lake, SecurityEvent, User
from samples.ramp.queries import season_for
from samples.rules.lake_time import local_day
from samples.rules.vial_number import grouped
from samples.vials.queries import Hand, vials_in_hands

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


def _hand(request: SignedInRequest, lake: Lake, person: User) -> Hand:
    vials = vials_at(request.user, lake).filter(issued_to=person)
    return next(iter(vials_in_hands(vials)), Hand(person.pk, str(person), 0, []))


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def holder(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show what one person holds unused, and note what became of it."""
    person = _person(lake, pk)
    hand = _hand(request, lake, person)
    initial = _range_asked(request, hand)
    form = forms.HandsForm(request.POST or None, lake=lake, holder=person, initial=initial)
    question = False
    if request.method == "POST" and form.is_valid():
        if form.cleaned_data["what"] in ASKED_FIRST and "sure" not in request.POST:
            question = True
        else:
            try:
                words = _change_hands(request, lake, person, form.cleaned_data)
            except services.CannotChangeHands as problem:
                form.add_problem(problem.field, str(problem), code=problem.code)
            else:
                messages.success(request, words)
                return redirect("custody:holder", lake.slug, pk)
    may_link = _may_print_link(request, lake, person)
    has_link = links.has_live_link(person, today=links.day_of_links(timezone.now()))
    context = {
        "lake": lake,
        "person": person,
        "hand": hand,
        "form": form,
        "question": question,
        "card_form": forms.CardForm(initial={"paper": "letter", "link": may_link and not has_link}),
        "may_link": may_link,
        "has_link": has_link,
        "reason": _why_no_link(lake, person),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "custody/holder.html", context, status=status)


def _range_asked(request: SignedInRequest, hand: Hand) -> dict[str, str]:
    """Return the stretch that is offered: the one that was pointed at, else the first."""
    asked = request.GET.get("first", "")
    stretch = next(
        (one for one in hand.stretches if one.first == asked), next(iter(hand.stretches), None)
    )
    return {"first": grouped(stretch.first), "last": grouped(stretch.last)} if stretch else {}


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
        done, words = services.take_back(**common), "back in the office"
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
    hand = _hand(request, lake, person)
    form = forms.CardForm(request.POST)
    if not form.is_valid() or not hand.count:
        words = form.problems[0][1] if form.problems else f"{person} holds no unused vials."
        messages.error(request, words, extra_tags="no_card")
        return redirect("custody:holder", lake.slug, pk)
    now = timezone.now()
    today = local_day(now, lake.time_zone)
    token = ""
    if form.cleaned_data["link"] and _may_print_link(request, lake, person):
        token = links.new_token()
    card = kit_card(
        lake=lake,
        season=season_for(lake, today),
        person=person,
        hand=hand,
        link=link_address(request, token) if token else "",
        today=today,
    )
    content = pdf.kit_card_pdf(card, form.cleaned_data["paper"])
    # Only now: a card that could not be drawn leaves no link behind.
    if token:
        _keep_link(request, lake, person, token, now)
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = 'attachment; filename="kit-card.pdf"'
    return response


@transaction.atomic
def _keep_link(
    request: SignedInRequest, lake: Lake, person: User, token: str, now: datetime
) -> None:
    """Let the link of a card sign its person in, and note who made it."""
    good_until, _ = links.days_for_link(lake, today=local_day(now, lake.time_zone))
    links.make_link(person, made_by=request.user, good_until=good_until, now=now, token=token)
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
    numbers = [grouped(number) for number in queries.unused_vials(lake, person)]
    if not numbers:
        messages.error(request, f"{person} holds no unused vials.", extra_tags="no_slips")
        return redirect("custody:holder", lake.slug, pk)
    season = season_for(lake, local_day(timezone.now(), lake.time_zone))
    content = pdf.slips_pdf(lake.name, season.name if season else "", numbers)
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="slips.pdf"'
    return response
