"""What waits for whom, counted."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.db.models import Count
from django.urls import reverse
from django.utils.formats import date_format

from samples.accounts.permissions import Permission
from samples.accounts.selectors import (
    fish_counted_at,
    fish_to_settle_at,
    held_entries_at,
    vials_at,
)
from samples.lab import queries as lab
from samples.models import HeldEntry, Lake, Season, Target, User, Vial
from samples.ramp.queries import season_for
from samples.targets.presenters import sentences
from samples.targets.presenters.shaping import coverage_of
from samples.targets.queries.choice import CoverageSelection, options_of
from samples.vials import queries as moving

PERMIT_WARNING_DAYS = 30


@dataclass(frozen=True, slots=True)
class Work:
    """Some things of one kind that wait, and where they are done."""

    count: int
    what: str
    more: str
    address: str
    button: str


@dataclass(frozen=True, slots=True)
class CoverageLine:
    """What is still to be collected of one species, and where that is shown."""

    headline: str
    more: str
    address: str


@dataclass(frozen=True, slots=True)
class Stop:
    """How many vials stand at one stage of their life."""

    count: int
    label: str
    more: str


LIFE = [
    (Vial.State.PRINTED, "still in the office"),
    (Vial.State.ISSUED, "in somebody's hands"),
    (Vial.State.USED, "logged, on the way"),
    (Vial.State.RECEIVED, "to be cleared and read"),
    (Vial.State.CLEARING, "in glycerin and ethanol"),
    (Vial.State.READY, "to be read"),
    (Vial.State.READ, "read at least once"),
    (Vial.State.ARCHIVED, "box and slot known"),
    (Vial.State.LOST, "looked for and not found"),
    (Vial.State.VOID, "spoiled, never to be used"),
]
# Most lakes have none of these for months: a nought would say nothing.
_SHOWN_IF_ANY = frozenset(
    {
        Vial.State.CLEARING,
        Vial.State.READY,
        Vial.State.ARCHIVED,
        Vial.State.LOST,
        Vial.State.VOID,
    }
)


def season_on(lake: Lake, day: date) -> Season | None:
    """Return the season that a day falls in, else the last one that began before it."""
    season = season_for(lake, day)
    return season if season is not None and season.starts_on <= day else None


def where_the_vials_are(lake: Lake, season: Season | None) -> list[Stop]:
    """Count a season's vials by how far they have come."""
    if season is None:
        return []
    counts = dict(
        Vial.objects.filter(lake=lake, season=season)
        .values_list("state")
        .annotate(n=Count("*"))
        .order_by()
    )
    return [
        Stop(counts.get(state, 0), state.label, more)
        for state, more in LIFE
        if state in counts or state not in _SHOWN_IF_ANY
    ]


def permit_problem(season: Season | None, day: date) -> str:
    """Return a warning where the collection permit has run out, or is about to."""
    if season is None or season.permit_until is None:
        return ""
    permit = f"Collection permit {season.permit_number}".strip()
    left = (season.permit_until - day).days
    if left < 0:
        expired = f"{permit} expired on {date_format(season.permit_until)}."
        return f"{expired} Renew it before you collect more fish."
    if left <= PERMIT_WARNING_DAYS:
        days = "today" if not left else "tomorrow" if left == 1 else f"in {left} days"
        return f"{permit} expires {days}, on {date_format(season.permit_until)}."
    return ""


def coverage_lines(person: User, lake: Lake, day: date) -> list[CoverageLine]:
    """Return coverage of this season in a line for each species that has targets."""
    options = options_of(lake, day)
    season = options.first_season
    if season is None:
        return []
    fish, found = fish_counted_at(person, lake), []
    with_targets = set(Target.objects.filter(season=season).values_list("species_id", flat=True))
    for one in options.lake_species:
        if one.species_id not in with_targets:
            continue
        selection = CoverageSelection(
            lake=lake,
            season=season,
            species=one.species,
            bin_width=one.bin_width_hundredths_mm,
            closed=season.ends_on < day,
        )
        counted = coverage_of(fish, options, selection, donors_named=False)
        query = urlencode({"species": one.species.code, "season": season.name})
        address = f"{reverse('targets:coverage', args=[lake.slug])}?{query}"
        met = counted.total.need
        more = [f"{met.met} of {met.wanted} aged"] if met and counted.to_collect else []
        gap = (
            [] if selection.closed else [one.rstrip(".") for one in sentences.target_notes(counted)]
        )
        message = ". ".join([*more, *gap])
        found.append(CoverageLine(sentences.headline(counted), message and f"{message}.", address))
    return found


def work_waiting(person: User, lake: Lake, granted: Iterable[Permission], day: date) -> list[Work]:
    """List what waits for somebody with these rights, the most pressing first.

    Each number is that of the list which its button opens.
    """
    rights = set(granted)
    work: list[Work] = []
    if Permission.SETTLE_HELD in rights:
        work += _to_resolve(person, lake)
    if Permission.READ_OTOLITHS in rights:
        vials = lab.grid_vials(person, lake, lab.GridCriteria(), today=day)
        work.append(
            Work(
                lab.count_waiting(person, vials),
                "otoliths to read",
                "Received, not read by you, and the age not agreed yet.",
                reverse("lab:grid", args=[lake.slug]),
                "Read otoliths",
            )
        )
    if Permission.DECIDE_AGES in rights:
        work.append(
            Work(
                lab.ages_to_settle(person, lake).count(),
                "ages to settle",
                "Readers differ, or the rule leaves the age open.",
                reverse("lab:settle", args=[lake.slug]),
                "Settle ages",
            )
        )
    if Permission.MOVE_VIALS in rights:
        work += _on_the_way(person, lake)
    return [item for item in work if item.count]


def _to_resolve(person: User, lake: Lake) -> list[Work]:
    address = reverse("ramp:held", args=[lake.slug])
    held = held_entries_at(person, lake).filter(state=HeldEntry.State.OPEN)
    return [
        Work(
            held.count(),
            "entries to resolve",
            "Two fish for one vial, or a vial number that was never printed.",
            address,
            "Resolve",
        ),
        Work(
            fish_to_settle_at(person, lake).count(),
            "fish without a vial",
            "Logged, and their vial went to another fish.",
            f"{address}#waiting-head",
            "Show fish",
        ),
    ]


def _on_the_way(person: User, lake: Lake) -> list[Work]:
    address, vials = reverse("vials:receive", args=[lake.slug]), vials_at(person, lake)
    return [
        Work(
            moving.logs_not_received(vials).total,
            "vials logged and not received",
            "On the way, or left in a boat.",
            f"{address}#away-head",
            "Show vials",
        ),
        Work(
            moving.without_log(vials).total,
            "vials received with no log",
            "An otolith is here, and nobody logged its fish.",
            f"{address}#orphan-head",
            "Show vials",
        ),
    ]
