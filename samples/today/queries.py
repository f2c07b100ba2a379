"""What waits for whom, counted."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Count, Min, Q
from django.urls import reverse
from django.utils.formats import date_format

from samples.accounts.permissions import Permission
from samples.accounts.selectors import (
    fish_to_settle_at,
    held_entries_at,
    vials_at,
)
from samples.custody import queries as custody
from samples.lab import queries as lab
from samples.lab.computed import possible_swaps_at_hand
from samples.models import OUT_OF_USE, HeldEntry, Lake, Season, User, Vial
from samples.ramp.queries import season_for
from samples.rules.lake_time import local_day
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
class Stop:
    """How many vials stand at one stage of their life."""

    state: str
    count: int
    label: str
    more: str
    # Lost and spoiled vials go nowhere.
    is_off: bool


LIFE = [
    (Vial.State.PRINTED, "Printed"),
    (Vial.State.ISSUED, "Issued"),
    (Vial.State.USED, "Used"),
    (Vial.State.RECEIVED, "Received"),
    (Vial.State.CLEARING, "Clearing"),
    (Vial.State.READY, "Ready to read"),
    (Vial.State.READ, "Read"),
    (Vial.State.ARCHIVED, "Archived"),
    (Vial.State.LOST, "Lost"),
    (Vial.State.VOID, "Void"),
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
    """Count a season's vials by how far they have come, and say how long they have waited."""
    if season is None:
        return []
    rows = (
        Vial.objects.filter(lake=lake, season=season)
        .order_by()
        .values("state")
        .annotate(
            n=Count("pk"),
            people=Count("issued_to", distinct=True),
            boxes=Count("archive_box", distinct=True, filter=~Q(archive_box="")),
            caught=Min("fish__caught_on"),
            received=Min("received_at"),
            ready=Min("ready_on"),
        )
    )
    found = {row["state"]: row for row in rows}
    return [
        Stop(
            state,
            found[state]["n"] if state in found else 0,
            label,
            _about_stop(state, found[state], lake) if state in found else "",
            is_off=state in OUT_OF_USE,
        )
        for state, label in LIFE
        if state in found or state not in _SHOWN_IF_ANY
    ]


def _about_stop(state: str, row: dict[str, Any], lake: Lake) -> str:
    """Return what there is to know of the vials of one stage, in two or three words."""
    if state == Vial.State.PRINTED:
        return "in the office"
    if state == Vial.State.ISSUED:
        return f"with {row['people']} {'person' if row['people'] == 1 else 'people'}"
    if state == Vial.State.USED and row["caught"]:
        return f"oldest {_shortest(row['caught'])}"
    if state == Vial.State.CLEARING and row["ready"]:
        return f"first ready {_shortest(row['ready'])}"
    if state in {Vial.State.RECEIVED, Vial.State.READY} and row["received"]:
        return f"oldest {_shortest(local_day(row['received'], lake.time_zone))}"
    if state == Vial.State.ARCHIVED and row["boxes"]:
        return f"in {row['boxes']} box{'' if row['boxes'] == 1 else 'es'}"
    return ""


def _shortest(day: date) -> str:
    return date_format(day, "M j")


def _short(day: date) -> str:
    """Return a day of this season or the last without its year: April 9."""
    return date_format(day, "F j")


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


def work_waiting(person: User, lake: Lake, granted: Iterable[Permission], day: date) -> list[Work]:
    """List what waits for somebody with these rights, the most pressing first.

    Each number is that of the list which its button opens.
    """
    rights = set(granted)
    work: list[Work] = []
    if Permission.SETTLE_HELD in rights:
        work += _to_resolve(person, lake)
    if Permission.READ_OTOLITHS in rights:
        work.append(_to_read(person, lake, day))
    if Permission.DECIDE_AGES in rights:
        work.append(_to_agree_on(person, lake))
        work.append(_to_check(lake))
    if Permission.MOVE_VIALS in rights:
        work += _on_the_way(person, lake)
        work += _in_the_lab(person, lake, day)
    return [item for item in work if item.count]


def _to_resolve(person: User, lake: Lake) -> list[Work]:
    address = reverse("ramp:held", args=[lake.slug])
    held = held_entries_at(person, lake).filter(state=HeldEntry.State.OPEN)
    waiting = held.aggregate(n=Count("pk"), since=Min("received_at"))
    without = fish_to_settle_at(person, lake).aggregate(n=Count("pk"), since=Min("caught_on"))
    return [
        Work(
            waiting["n"],
            "entries to resolve",
            _waited("Two fish for one vial, or an unknown number.", waiting["since"], lake),
            address,
            "Resolve",
        ),
        Work(
            without["n"],
            "fish without a vial",
            f"Their vial went to another fish.{_caught_since(without['since'])}",
            f"{address}#waiting-head",
            "Show fish",
        ),
    ]


def _to_read(person: User, lake: Lake, day: date) -> Work:
    vials = lab.grid_vials(person, lake, lab.GridCriteria(), today=day)
    ready = Count("pk", filter=Q(state=Vial.State.READY))
    found = lab.not_read_by(person, vials).aggregate(
        n=Count("pk"), since=Min("received_at"), ready=ready
    )
    cleared = f"{found['ready']} cleared and ready." if found["ready"] else "None cleared yet."
    return Work(
        found["n"],
        "otoliths to read",
        _waited(cleared, found["since"], lake),
        reverse("lab:grid", args=[lake.slug]),
        "Read otoliths",
    )


def _to_agree_on(person: User, lake: Lake) -> Work:
    spreads = lab.spread_of_ages(lab.ages_to_settle(person, lake), lake)
    apart = [
        f"{n} differ by {'1 year' if years == 1 else '2 years or more'}"
        for years, n in ((1, spreads[1]), (2, sum(spreads.values()) - spreads[0] - spreads[1]))
        if n
    ]
    left_open = [f"the aging rule gives no age for {spreads[0]}"] if spreads[0] else []
    words = ", ".join([*apart, *left_open])
    return Work(
        sum(spreads.values()),
        "ages without consensus",
        f"{words[:1].upper()}{words[1:]}.",
        reverse("lab:settle", args=[lake.slug]),
        "Decide ages",
    )


def _to_check(lake: Lake) -> Work:
    found = possible_swaps_at_hand(lake)
    runs = len(found.runs) if found else 0
    shifted = f" {runs} run{'' if runs == 1 else 's'} may be off by one." if runs else ""
    return Work(
        found.count if found else 0,
        "possible vial swaps",
        f"The otolith does not fit the length of the fish.{shifted}",
        reverse("lab:swapped", args=[lake.slug]),
        "Check vials",
    )


def _on_the_way(person: User, lake: Lake) -> list[Work]:
    address = reverse("vials:receive", args=[lake.slug])
    away, orphans = moving.counted_on_the_way(vials_at(person, lake))
    return [
        Work(
            away.count,
            "logged vials not received",
            f"{_with(away, 'Logged by')}{_caught_since(away.since)}",
            f"{address}#away-head",
            "Show vials",
        ),
        Work(
            orphans.count,
            "received vials without a logged fish",
            _waited(_with(orphans, "Issued to"), orphans.since, lake),
            f"{address}#orphan-head",
            "Show vials",
        ),
    ]


def _in_the_lab(person: User, lake: Lake, day: date) -> list[Work]:
    trays = custody.tray_rows(lake, day)
    over, due = (
        [row for row in trays if row.is_over],
        [row for row in trays if row.next_step == "ready"],
    )
    address = reverse("custody:trays", args=[lake.slug])
    first = f" First: tray {over[0].tray.name}." if over else ""
    return [
        Work(
            len(over),
            "trays past their rinse date" if len(over) > 1 else "tray past its rinse date",
            f"Over-cleared otoliths get harder to read.{first}",
            address,
            "Open clearing",
        ),
        Work(
            sum(row.due for row in due),
            "vials cleared long enough",
            f"In tray{'s' if len(due) > 1 else ''} {', '.join(row.tray.name for row in due)}.",
            address,
            "Mark ready",
        ),
        Work(
            custody.waiting_to_archive(vials_at(person, lake)).count(),
            "read vials to archive",
            "They are in no box yet.",
            reverse("custody:archive", args=[lake.slug]),
            "Archive vials",
        ),
    ]


def _with(found: moving.Counted[Any], verb: str) -> str:
    if not found.people:
        return "Not issued to anyone."
    return f"{verb} {found.name if found.people == 1 else f'{found.people} people'}."


def _waited(words: str, since: datetime | None, lake: Lake) -> str:
    """Add since when the oldest has waited, as a day at the lake."""
    if since is None:
        return words
    return f"{words} Oldest waiting since {_short(local_day(since, lake.time_zone))}."


def _caught_since(day: date | None) -> str:
    return f" Oldest catch {_short(day)}." if day else ""
