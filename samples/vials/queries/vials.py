"""Where vials are. Every list starts from the vials that the asker may see."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby, islice
from typing import Generic, TypeVar

from django.db.models import Count, Min, Q, QuerySet

from samples.accounts.permissions import GRANTS, Permission
from samples.accounts.selectors import name_of
from samples.models import WITHOUT_AN_OTOLITH, LabelRun, Lake, NumberYear, User, Vial
from samples.rules import vial_number

Since = TypeVar("Since", date, datetime)

MOST_LISTED = 200
MOST_FOUND = 10

_IN = [Vial.State.RECEIVED, Vial.State.CLEARING, Vial.State.READY]


@dataclass(frozen=True, slots=True)
class Listed:
    """The first of a list that may be long, and how many there are in all."""

    rows: list[Vial]
    total: int


@dataclass(frozen=True)
class Counted(Generic[Since]):
    """How many vials wait, since when the oldest does, and with how many people."""

    count: int
    since: Since | None
    people: int
    # Of one of them: of the only one, where it is one.
    name: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """Vials whose numbers follow one another."""

    first: str
    last: str
    count: int


@dataclass(frozen=True, slots=True)
class Hand:
    """What one person has in hand, unused."""

    person_id: int
    name: str
    count: int
    stretches: list[Stretch]


def people_who_log(lake: Lake) -> QuerySet[User]:
    """List who may be handed vials: whoever logs fish at the lake."""
    roles = [role for role, granted in GRANTS.items() if Permission.LOG_FISH in granted]
    at_lake = User.objects.filter(
        is_active=True, memberships__lake=lake, memberships__role__in=roles
    )
    return at_lake.distinct().order_by("display_name", "pk")


def first_in_office(vials: QuerySet[Vial]) -> str:
    """Return the lowest number of the newest season that nobody has been handed."""
    waiting = vials.filter(state=Vial.State.PRINTED)
    number = (
        waiting.order_by("-season__number_year", "sequence")
        .values_list("number", flat=True)
        .first()
    )
    return number or ""


def vials_in_hands(vials: QuerySet[Vial]) -> list[Hand]:
    """List people by name with what they have in hand, in stretches of numbers."""
    rows = (
        vials.filter(state=Vial.State.ISSUED)
        .annotate(name=name_of("issued_to__"))
        .order_by("name", "issued_to", "season__number_year", "sequence")
        .values_list(
            "issued_to",
            "name",
            "season__number_year",
            "sequence",
            "number",
        )
    )
    return [
        Hand(person, name, len(theirs), _stretches(theirs))
        for (person, name), theirs in (
            (key, [row[2:] for row in group]) for key, group in groupby(rows, lambda r: r[:2])
        )
    ]


def _stretches(rows: list[tuple[int, int, str]]) -> list[Stretch]:
    """Group numbers that follow one another: year, and place less order, are the same."""
    numbered = list(enumerate(rows))
    runs = [
        [number for _, (_, _, number) in group]
        for _, group in groupby(numbered, lambda item: (item[1][0], item[1][1] - item[0]))
    ]
    return [Stretch(numbers[0], numbers[-1], len(numbers)) for numbers in runs]


def last_received(vials: QuerySet[Vial], *, most: int = 10) -> list[Vial]:
    """List what came in last, the newest first."""
    came = vials.filter(received_at__isnull=False).select_related("received_by", "fish")
    return list(came.order_by("-received_at", "-pk")[:most])


@dataclass(frozen=True, slots=True)
class ReceivedTally:
    """How many of a person's used vials came in, with the vial that this one scanned last."""

    last: Vial
    count: int
    expected: int

    @property
    def words(self) -> str:
        return f"of {self.last.issued_to}'s {self.expected} used vials received"


def last_received_by(vials: QuerySet[Vial], person: User) -> Vial | None:
    """Return the vial that a person received last."""
    mine = vials.filter(received_by=person).select_related("issued_to")
    return mine.order_by("-received_at", "-pk").first()


def tally_of_received(vials: QuerySet[Vial], last: Vial | None) -> ReceivedTally | None:
    """Count what came in of whoever had the vial that was received last."""
    if last is None or last.issued_to is None:
        return None
    theirs = vials.filter(season=last.season_id, issued_to=last.issued_to)
    used = theirs.filter(Q(received_at__isnull=False) | Q(state=Vial.State.USED))
    counts = used.aggregate(
        count=Count("pk", filter=Q(received_at__isnull=False)), expected=Count("pk")
    )
    return ReceivedTally(last, counts["count"], counts["expected"])


_ORPHANS = Q(state__in=_IN, fish__isnull=True) & ~Q(content__in=WITHOUT_AN_OTOLITH)
_AWAY = Q(state=Vial.State.USED, fish__isnull=False, received_at__isnull=True)


def counted_on_the_way(vials: QuerySet[Vial]) -> tuple[Counted[date], Counted[datetime]]:
    """Count the vials of the next two lists in one statement, with the oldest and whose they are:
    who logged the fish of the first, and who was issued the second.
    """
    found = vials.filter(_AWAY | _ORPHANS).aggregate(
        away=Count("pk", filter=_AWAY),
        caught=Min("fish__caught_on", filter=_AWAY),
        loggers=Count("fish__logged_by", filter=_AWAY, distinct=True),
        logger=Min(name_of("fish__logged_by__"), filter=_AWAY),
        orphans=Count("pk", filter=_ORPHANS),
        received=Min("received_at", filter=_ORPHANS),
        holders=Count("issued_to", filter=_ORPHANS, distinct=True),
        holder=Min(name_of("issued_to__"), filter=_ORPHANS),
    )
    away = Counted(found["away"], found["caught"], found["loggers"], found["logger"] or "")
    orphans = Counted(found["orphans"], found["received"], found["holders"], found["holder"] or "")
    return away, orphans


def without_log(vials: QuerySet[Vial]) -> Listed:
    """List vials that came in with an otolith whose fish nobody logged, the oldest first."""
    found = vials.filter(_ORPHANS)
    rows = found.select_related("received_by", "issued_to").order_by("received_at", "pk")
    return Listed(list(rows[:MOST_LISTED]), found.count())


def logs_not_received(vials: QuerySet[Vial]) -> Listed:
    """List vials with a fish logged that have not come in, the oldest catch first.

    Who logged the fish is shown, never who gave it.
    """
    awaited = vials.filter(_AWAY)
    rows = awaited.select_related("fish__arm", "fish__logged_by", "fish__species")
    ordered = rows.order_by("fish__caught_on", "number")
    return Listed(list(ordered[:MOST_LISTED]), awaited.count())


def find(vials: QuerySet[Vial], lake: Lake, digits: str) -> list[Vial]:
    """Find vials of a lake by their whole number or its last digits, the check digit or not.

    The newest first, and only the first of many.
    """
    found = vials.select_related(
        "season", "run", "issued_to", "received_by", "fish__arm", "fish__species"
    )
    exact = list(found.filter(number=digits))
    if exact or not digits:
        return exact
    ending = list(islice(_numbers_printed(lake, digits), MOST_FOUND))
    return list(found.filter(number__in=ending).order_by("-number"))


def _numbers_printed(lake: Lake, last_digits: str) -> Iterator[str]:
    """Yield the numbers printed for a lake that end with these digits, the newest first."""
    widths = dict(NumberYear.objects.values_list("year", "digits"))
    runs = LabelRun.objects.filter(season__lake=lake).values_list(
        "season__number_year", "first_sequence", "count"
    )
    for year, first, count in runs.order_by("-season__number_year", "-first_sequence"):
        yield from vial_number.numbers_ending(
            last_digits, year=year, digits=widths[year], sequences=range(first, first + count)
        )
