"""The list that is out at a lake: what those who log fish are asked for."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from samples.models import Ask, AskedFish, Lake
from samples.rules.and_text import and_text
from samples.rules.lake_time import local_day


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a list, as it is read; without arms, any arm will do."""

    words: str
    arms: tuple[str, ...]
    fish: tuple[AskedFish, ...]

    @property
    def wanted(self) -> int:
        return sum(one.wanted for one in self.fish)

    @property
    def arms_in_words(self) -> str:
        """Return the arms as they are said, for example "Tarrow and Hobbin"."""
        return and_text(self.arms) or "Any arm"


def ask_in_force(lake: Lake, *, now: datetime) -> Ask | None:
    """Return the last list of the season under way, unless it was stopped."""
    today = local_day(now, lake.time_zone)
    of_season = Ask.objects.filter(
        season__lake=lake, season__starts_on__lte=today, season__ends_on__gte=today
    )
    last = of_season.select_related("season__lake").order_by("-sent_at", "-pk").first()
    return last if last is not None and last.stopped_at is None else None


@dataclass(frozen=True, slots=True)
class ListOut:
    """A list that is out, with its lines."""

    lake: Lake
    ask: Ask
    lines: list[Line]


def asks_in_force(lakes: Iterable[Lake], *, now: datetime) -> list[ListOut]:
    """Return the list that is out at each of these lakes that has one."""
    found = [(lake, ask_in_force(lake, now=now)) for lake in lakes]
    return [ListOut(lake, ask, lines_of(ask)) for lake, ask in found if ask is not None]


def lines_of(ask: Ask) -> list[Line]:
    """Return the lines of a list in their order."""
    rows = ask.fish.select_related("species", "arm").order_by("place", "arm__position", "pk")
    found = [list(fish) for _, fish in groupby(rows, key=lambda one: one.place)]
    return [
        Line(
            fish[0].words,
            tuple(dict.fromkeys(one.arm.name for one in fish if one.arm is not None)),
            tuple(fish),
        )
        for fish in found
    ]
