"""A trip on another day than its own, and one that was ended too early."""

from datetime import datetime
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from samples.accounts.decorators import SignedInRequest, permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import parties_logged_by
from samples.models import Party, UnmeasuredCount
from samples.ramp import forms, queries, services
from samples.ramp.entry import SCHEMA, read
from samples.ramp.views.answering import add_message, ingest_one
from samples.rules import trips
from samples.rules.season_days import day_text

CARRIED_ON = "carried_on"


def day_question(request: HttpRequest, party: Party, now: datetime) -> queries.Standing | None:
    """Return how a trip of another day stands, unless its person carried it on today."""
    standing = queries.standing_of(party, now)
    if standing is None:
        return None
    answered = request.session.get(CARRIED_ON)
    return None if answered == [str(party.party_id), standing.today.isoformat()] else standing


def note_carried_on(request: HttpRequest, standing: queries.Standing) -> None:
    """Keep for this day that the trip goes on."""
    request.session[CARRIED_ON] = [str(standing.party.party_id), standing.today.isoformat()]


def day_page(request: SignedInRequest, standing: queries.Standing) -> HttpResponse:
    """Ask before the first fish of a day which trip it belongs to."""
    context = {"standing": standing, "vial": request.GET.get("vial", "")}
    return render(request, "ramp/trip_day.html", context)


@require_POST
@permission_required(Permission.LOG_FISH)
def carry_on(request: SignedInRequest) -> HttpResponse:
    """Go on with the trip of another day, for today."""
    party = queries.open_party_of(request.user)
    if party is None:
        return redirect("ramp:open_party")
    standing = queries.standing_of(party, timezone.now())
    if standing is not None:
        note_carried_on(request, standing)
    response = redirect("ramp:log")
    vial = request.POST.get("vial", "")
    if vial.isdigit():
        response["Location"] += f"?vial={vial}"
    return response


def end_before(request: SignedInRequest, party: Party, now: datetime) -> str:
    """End the trip that was open when another one was started, and say which it was."""
    raw = _payload("party_closed", uuid4(), party, now)
    answer = ingest_one(read(raw), author=request.user, now=now)
    if answer.outcome == services.Outcome.REFUSED:
        return f"{name_of(party)} is still open. {answer.message}"
    count = queries.count_of(party).logged
    fish = "1 fish" if count == 1 else f"{count} fish"
    return f"{name_of(party)} ended with {fish}."


def name_of(party: Party) -> str:
    """Name a trip by its interview or its place and day."""
    if party.interview_key:
        return f"Interview {party.interview_key}"
    day = f", {day_text(party.caught_on)}" if party.caught_on else ""
    return f"The trip {party.arm}{day}"


@require_POST
@permission_required(Permission.LOG_FISH)
def reopen_party(request: SignedInRequest, party_id: UUID) -> HttpResponse:
    """Let a trip go on that was ended today."""
    party = get_object_or_404(parties_logged_by(request.user), party_id=party_id)
    now = timezone.now()
    ended = party.closed_at
    if ended is not None and trips.is_of_another_day(ended, now, party.lake.time_zone):
        sentence = "A trip can be reopened only on the day it ended. Start a trip."
        messages.error(request, sentence, extra_tags="ended_before_today")
        return redirect("ramp:open_party")
    if party != queries.last_party_of(request.user):
        sentence = "A later trip has fish, so this one can't be reopened."
        messages.error(request, sentence, extra_tags="not_the_last")
        return redirect("ramp:log")
    facts = {name: value for name, value in forms.initial_of_party(party).items() if value}
    day = {"caught_on": party.caught_on.isoformat()} if party.caught_on else {}
    box = {"fish_in_box": party.fish_in_box} if party.fish_in_box is not None else {}
    raw = _payload("party_changed", uuid4(), party, now) | facts | box | day | {"reopen": "yes"}
    answer = ingest_one(read(raw), author=request.user, now=now)
    add_message(request, answer, done=f"{party.arm}: the trip is open again.")
    return redirect("ramp:log")


@require_POST
@permission_required(Permission.LOG_FOR_OTHERS)
def undo_count(request: SignedInRequest, entry_id: UUID) -> HttpResponse:
    """Take a count of unmeasured fish back; a double tap is one withdrawal."""
    counted = get_object_or_404(
        UnmeasuredCount.objects.select_related("party", "species"),
        entry_id=entry_id,
        logged_by=request.user,
    )
    now = timezone.now()
    about = {"about_entry_id": str(entry_id)}
    raw = _payload("withdrawal", uuid5(entry_id, "withdrawn"), counted.party, now) | about
    answer = ingest_one(read(raw), author=request.user, now=now)
    add_message(request, answer, done=f"{counted.count} {counted.species.name} no longer counted.")
    return redirect("ramp:count")


def _payload(kind: str, entry_id: UUID, party: Party, now: datetime) -> dict[str, Any]:
    return {
        "kind": kind,
        "schema": SCHEMA,
        "entry_id": str(entry_id),
        "party_id": str(party.party_id),
        "written_at": now.isoformat(),
    }
