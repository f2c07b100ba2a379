"""Lists that went out, and what came in since."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q

from samples.models import Ask, AskedFish, Donor, Fish, Lake, Progress, Reach, User
from samples.targets.queries.asks import Line, lines_of

SHOWN = 6
IN_FEED = 20


@dataclass(frozen=True, slots=True)
class CameIn:
    """What came of one line from one arm: fish asked for, logged since, vials at the office."""

    arm: str
    wanted: int
    logged: int
    received: int


@dataclass(frozen=True, slots=True)
class SentLine:
    line: Line
    arms: list[CameIn]


@dataclass(frozen=True, slots=True)
class SentAsk:
    """A list that went out, and until when what came in counts for it: None for until now."""

    ask: Ask
    until: datetime | None
    lines: list[SentLine]
    asked: list[str]


def public_asks(lake: Lake) -> list[Ask]:
    """Return the lists of a lake that everybody may read, the last first."""
    found = Ask.objects.filter(season__lake=lake, is_public=True).select_related("season__lake")
    return list(found.order_by("-sent_at", "-pk")[:IN_FEED])


def sent_asks(lake: Lake) -> list[SentAsk]:
    """Return the last lists of a lake with what came in: each until the next or its stop."""
    rows = Ask.objects.filter(season__lake=lake).select_related("season__lake", "sent_by")
    rows = rows.prefetch_related("asked")
    found = list(rows.order_by("-sent_at", "-pk")[:SHOWN])
    ends: list[datetime | None] = [None, *(ask.sent_at for ask in found)]
    return [
        _with_fish(ask, ask.stopped_at or until) for ask, until in zip(found, ends, strict=False)
    ]


def _with_fish(ask: Ask, until: datetime | None) -> SentAsk:
    lines = lines_of(ask)
    rows = [one for line in lines for one in line.fish]
    counted = _came_in(ask, until, rows)
    return SentAsk(
        ask,
        until,
        [SentLine(line, _by_arm(line, counted)) for line in lines],
        sorted(str(one) for one in ask.asked.all()),
    )


def _came_in(ask: Ask, until: datetime | None, rows: Sequence[AskedFish]) -> dict[int, list[int]]:
    """Count for each row the fish logged since, and those of them received, in one statement."""
    if not rows:
        return {}
    fish = Fish.objects.filter(
        lake=ask.lake,
        season=ask.season_id,
        withdrawn=False,
        progress__gte=Progress.LOGGED,
        logged_at__gte=ask.sent_at,
    )
    fish = fish if until is None else fish.filter(logged_at__lt=until)
    sums = {}
    for row in rows:
        sums[f"logged_{row.pk}"] = Count("pk", filter=_where(row))
        received = _where(row) & Q(progress__gte=Progress.RECEIVED)
        sums[f"received_{row.pk}"] = Count("pk", filter=received)
    found = fish.aggregate(**sums)
    return {row.pk: [found[f"logged_{row.pk}"], found[f"received_{row.pk}"]] for row in rows}


def _where(row: AskedFish) -> Q:
    where = Q(species=row.species_id, length_hundredths_mm__gte=row.from_hundredths_mm)
    if row.below_hundredths_mm is not None:
        where &= Q(length_hundredths_mm__lt=row.below_hundredths_mm)
    return where if row.arm_id is None else where & Q(arm=row.arm_id)


def _by_arm(line: Line, counted: dict[int, list[int]]) -> list[CameIn]:
    arms: dict[str, list[AskedFish]] = {}
    for one in line.fish:
        arms.setdefault(one.arm.name if one.arm else "Any arm", []).append(one)
    return [
        CameIn(
            arm,
            sum(one.wanted for one in fish),
            sum(counted[one.pk][0] for one in fish),
            sum(counted[one.pk][1] for one in fish),
        )
        for arm, fish in arms.items()
    ]


def names_of_people(lake: Lake) -> list[str]:
    """Return the names of everybody who works, logs or donates at a lake."""
    donors = Donor.objects.filter(lake=lake).exclude(name="").values_list("name", flat=True)
    people = User.objects.filter(Q(memberships__lake=lake) | Q(parties__lake=lake)).distinct()
    return [*donors, *people.exclude(display_name="").values_list("display_name", flat=True)]


def names_of_reaches(lake: Lake) -> list[str]:
    return list(Reach.objects.filter(arm__lake=lake).values_list("name", flat=True))
