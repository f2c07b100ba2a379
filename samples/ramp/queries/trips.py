"""A person's trips: the one that is open, how it stands, and those that may still be corrected."""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, Max, OuterRef, Prefetch, Q, QuerySet
from django.db.models.functions import Least

from samples.accounts.selectors import fish_logged_by, parties_logged_by
from samples.models import EntryKind, Fish, HeldEntry, Party, UnmeasuredCount, User, Vial
from samples.ramp.entry import payload_of_fish, payload_of_party
from samples.rules import trips
from samples.rules.lake_time import local_day

MOST_SKIPPED = 10
YEAR_DIGITS = 2
# What a phone is told of: a trip of the last two weeks may still be corrected there.
KNOWN_FOR = timedelta(days=14)
MOST_KNOWN = 40
# No trip was opened after it reached us, whatever a phone's clock said that was set to next year.
LAST_FIRST = (Least("opened_at", "received_at").desc(), "-pk")


def last_party_of(person: User) -> Party | None:
    """Return the party that a person opened last: no other is ever the one in hand.

    One that was ended without a fish is not in the way of the one before it, if that was ended
    too or is spoken of since: a trip of months ago that nobody ended stays where it is.
    """
    last_first = _own(person).order_by(*LAST_FIRST)
    last = last_first.first()
    before = last_first.exclude(_ended_empty()).first()
    if last is None or before is None:
        return last
    goes_on = before.closed_at is None and before != last
    return last if goes_on and spoken_of_at(before) < spoken_of_at(last) else before


def has_later_trip_with_fish(person: User, party: Party, *, besides: Collection[UUID]) -> bool:
    """Return whether a trip that a person opened after this one has a fish besides these."""
    first_of = Least("opened_at", "received_at")
    at = min(party.opened_at, party.received_at)
    trips_of = Party.objects.filter(opened_by=person).annotate(first_of=first_of)
    later = trips_of.filter(Q(first_of__gt=at) | Q(first_of=at, pk__gt=party.pk))
    return later.filter(_has_fish(besides)).exists()


def _ended_empty() -> Q:
    return Q(closed_at__isnull=False) & ~_has_fish()


def _has_fish(besides: Collection[UUID] = ()) -> Q:
    """Return the condition that a trip has a fish, a count or something held for the office."""
    here = {"party": OuterRef("pk")}
    fish = Fish.objects.filter(withdrawn=False, **here)
    counts = UnmeasuredCount.objects.filter(withdrawn=False, **here)
    return (
        Q(Exists(fish.exclude(entry_id__in=besides)))
        | Q(Exists(counts.exclude(entry_id__in=besides)))
        | Q(Exists(HeldEntry.objects.filter(state=HeldEntry.State.OPEN, **here)))
    )


def open_party_of(person: User) -> Party | None:
    """Return the party that a person opened last, unless it is closed."""
    last = last_party_of(person)
    return last if last and last.closed_at is None else None


def party_of_page(person: User, named: str) -> Party | None:
    """Return the party that a page was made for, else the one that is open."""
    try:
        party_id = UUID(named)
    except ValueError:
        return open_party_of(person)
    return _own(person).filter(party_id=party_id).first() or open_party_of(person)


def _own(person: User) -> QuerySet[Party]:
    changed = Max("entries__said_at", filter=Q(entries__kind=EntryKind.PARTY_CHANGED))
    rows = parties_logged_by(person).select_related("lake", "season", "arm", "reach")
    return rows.annotate(changed_at=changed)


def ended_today(person: User, now: datetime) -> Party | None:
    """Return the party that was opened last if it was closed today at its lake: it may go on."""
    last = last_party_of(person)
    if last is None or last.closed_at is None:
        return None
    return None if trips.is_of_another_day(last.closed_at, now, zone_of(last)) else last


def zone_of(party: Party) -> str:
    zone: str = party.lake.time_zone
    return zone


@dataclass(frozen=True, slots=True)
class Standing:
    """An open trip on another day than its own: whether it goes on has to be asked."""

    party: Party
    fish: int
    goes_on: bool
    today: date


def standing_of(party: Party, now: datetime) -> Standing | None:
    """Return how a trip stands if a day has begun since it was last spoken of, else nothing."""
    spoken_of = spoken_of_at(party)
    if not trips.is_of_another_day(spoken_of, now, zone_of(party)):
        return None
    fish = Fish.objects.filter(party=party, withdrawn=False).aggregate(
        count=Count("pk"), last=Max("logged_at")
    )
    goes_on = trips.likely_goes_on(spoken_of, fish["last"], now)
    return Standing(party, fish["count"], goes_on, local_day(now, zone_of(party)))


def spoken_of_at(party: Party) -> datetime:
    """Return when a trip was opened, or changed or reopened last."""
    changed: datetime | None = party.changed_at  # type: ignore[attr-defined]
    return max(party.opened_at, changed) if changed else party.opened_at


@dataclass(frozen=True, slots=True)
class PartyCount:
    """How a party stands against what is in hand."""

    logged: int
    vials: trips.VialsOfTrip

    @property
    def with_vial(self) -> int:
        return len(self.vials.numbers)

    @property
    def last_number(self) -> str:
        return self.vials.numbers[-1] if self.vials.numbers else ""


def count_of(party: Party) -> PartyCount:
    """Count a party's fish, and find the vials that were skipped between them or have two."""
    rows = Fish.objects.filter(party=party, withdrawn=False)
    numbers = sorted(rows.filter(vial__isnull=False).values_list("vial__number", flat=True))
    vials = trips.VialsOfTrip(
        numbers=numbers, skipped=_skipped(numbers, party), doubled=_doubled(numbers, party)
    )
    return PartyCount(rows.count(), vials)


def _skipped(numbers: list[str], party: Party) -> list[str]:
    """Return the numbers between, of vials that are empty and may be this person's.

    One that was used on another trip, or handed to somebody else, was not skipped here.
    """
    if not numbers:
        return []
    mine = Q(state=Vial.State.PRINTED) | Q(state=Vial.State.ISSUED, issued_to=party.opened_by_id)
    between = Vial.objects.filter(
        mine,
        lake=party.lake_id,
        number__gt=numbers[0],
        number__lt=numbers[-1],
        number__startswith=numbers[0][:YEAR_DIGITS],
    )
    return list(between.order_by("number").values_list("number", flat=True)[:MOST_SKIPPED])


def _doubled(numbers: list[str], party: Party) -> list[str]:
    """Return the vials with a second fish of this party, which waits for the office."""
    waiting = HeldEntry.objects.filter(
        party=party, kind=EntryKind.FISH, reason="vial_taken", state=HeldEntry.State.OPEN
    )
    counts = Counter("".join(str(held.said.get("vial", "")).split()) for held in waiting)
    return [number for number in numbers if counts[number]]


# ---------- What a phone is told ----------


def recent_trips(person: User, now: datetime) -> list[dict[str, Any]]:
    """Return the trips of the last days with their fish, as a phone writes them down."""
    fish = fish_logged_by(person).filter(withdrawn=False).select_related("vial", "species")
    counts = UnmeasuredCount.objects.filter(withdrawn=False).select_related("species")
    recent = (
        _own(person)
        .filter(received_at__gte=now - KNOWN_FOR)
        .prefetch_related(
            Prefetch("fish", fish.order_by("pk"), to_attr="own_fish"),
            Prefetch("unmeasured", counts.order_by("pk"), to_attr="own_counts"),
        )
        .order_by(*LAST_FIRST)[:MOST_KNOWN]
    )
    return [_trip(party) for party in recent]


def _trip(party: Party) -> dict[str, Any]:
    zone = zone_of(party)
    return {
        "party_id": str(party.party_id),
        **payload_of_party(party),
        "caught_on": (party.caught_on or local_day(party.opened_at, zone)).isoformat(),
        "interview_key": party.interview_key,
        "opened_at": min(party.opened_at, party.received_at).isoformat(),
        "spoken_of_at": spoken_of_at(party).isoformat(),
        "closed_at": party.closed_at.isoformat() if party.closed_at else None,
        "fish": [_fish(one) for one in party.own_fish],  # type: ignore[attr-defined]
        "counts": [
            {
                "entry_id": str(one.entry_id),
                "species": one.species.code,
                "count": one.count,
                "written_at": min(one.logged_at, one.received_at).isoformat(),
            }
            for one in party.own_counts  # type: ignore[attr-defined]
        ],
    }


def _fish(fish: Fish) -> dict[str, Any]:
    return {
        "entry_id": str(fish.entry_id),
        **payload_of_fish(fish),
        "written_at": min(fish.logged_at, fish.received_at).isoformat(),
        "received": bool(fish.vial and fish.vial.received_at),
    }
