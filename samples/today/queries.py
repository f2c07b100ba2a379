"""What waits for whom, counted."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Count
from django.urls import reverse

from samples.accounts.roles import May
from samples.models import Age, HeldEntry, Lake, Season, Vial, with_an_otolith_to_read


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

    count: int
    words: str
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
    """Give the season that a day falls in, else the last one that began before it."""
    begun = Season.objects.filter(lake=lake, starts_on__lte=day)
    return begun.order_by("-starts_on").first()


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


def work_waiting(lake: Lake, granted: Iterable[May]) -> list[Work]:
    """List what waits for somebody with these rights, the most pressing first."""
    rights = set(granted)
    work = []
    if May.SETTLE_HELD in rights:
        held = HeldEntry.objects.filter(lake=lake, state=HeldEntry.State.OPEN).count()
        work.append(
            Work(
                held,
                "held entries to settle",
                "Two logs for one vial, or a number that is not ours.",
                reverse("ramp:held", args=[lake.slug]),
                "Settle",
            )
        )
    if May.READ_OTOLITHS in rights:
        at_the_lab = with_an_otolith_to_read(Vial.objects.filter(lake=lake))
        ready = at_the_lab.filter(readings__isnull=True).count()
        work.append(
            Work(
                ready,
                "otoliths not read yet",
                "Received, with a fish logged and its otolith inside.",
                reverse("lab:grid", args=[lake.slug]),
                "Read",
            )
        )
    if May.DECIDE_AGES in rights:
        open_ages = Age.objects.filter(fish__lake=lake, standing=Age.Standing.TO_SETTLE).count()
        work.append(
            Work(
                open_ages,
                "ages to settle",
                "Readers differ, or the rule leaves it open.",
                reverse("lab:settle", args=[lake.slug]),
                "Settle",
            )
        )
    if May.MOVE_VIALS in rights:
        used = Vial.objects.filter(lake=lake, state=Vial.State.USED).count()
        work.append(
            Work(
                used,
                "vials logged and not received",
                "On the way, or left in a boat.",
                reverse("vials:receive", args=[lake.slug]),
                "Receive",
            )
        )
        orphans = Vial.objects.filter(
            lake=lake,
            fish__isnull=True,
            state__in=[Vial.State.RECEIVED, Vial.State.CLEARING, Vial.State.READY],
        ).count()
        work.append(
            Work(
                orphans,
                "vials received with no log",
                "An otolith is there and nobody wrote down its fish.",
                reverse("vials:receive", args=[lake.slug]),
                "Look",
            )
        )
    return [item for item in work if item.count]
