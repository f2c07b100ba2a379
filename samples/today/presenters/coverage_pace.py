"""Coverage on the first page: a line a species, with what is collected against an even pace."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.urls import reverse

from samples.accounts.selectors import fish_counted_at
from samples.models import Lake, Season, User
from samples.targets.presenters import sentences
from samples.targets.presenters.coverage import Coverage
from samples.targets.presenters.shaping import coverages_of_season
from samples.targets.queries.choice import options_of_season
from samples.targets.queries.counts import DayRow, collected_by_day
from samples.targets.queries.set_targets import WantedByBin

# The drawing is as wide as the season and as high as the target.
WIDE, HIGH, EDGE = 120, 40, 4


@dataclass(frozen=True, slots=True)
class Pace:
    """Fish collected by day of catch, against the same number every day of the season."""

    collected: int
    wanted: int
    # Whether it is held against the lake target, else against the arm minimums.
    is_lake_wide: bool
    # What an even pace would have brought by today.
    even: int
    line: str
    end: tuple[float, float]

    @property
    def sentence(self) -> str:
        goal = "lake target" if self.is_lake_wide else "arm minimums"
        stand = f"{self.collected} of {self.wanted} collected for the {goal}"
        if self.collected >= self.wanted:
            return f"{stand}."
        if self.collected == self.even:
            return f"{stand}, at an even pace."
        way = "ahead of" if self.collected > self.even else "behind"
        return f"{stand}, {way} an even pace ({self.even} by today)."


@dataclass(frozen=True, slots=True)
class CoverageLine:
    """What is still to be collected of one species, where that is shown, and the pace so far."""

    species: str
    headline: str
    parts: list[sentences.TotalPart]
    gap: str
    address: str
    pace: Pace | None


def coverage_lines(
    person: User, lake: Lake, season: Season | None, day: date
) -> list[CoverageLine]:
    """Return coverage of a season in a line for each species that has targets."""
    if season is None:
        return []
    fish = fish_counted_at(person, lake)
    counted = coverages_of_season(fish, options_of_season(lake, season, day), season)
    by_day = collected_by_day(fish, [one.selection for one, _ in counted])
    return [
        _line(one, pace_of(by_day[one.selection.species.pk], wanted, season, day))
        for one, wanted in counted
    ]


def _line(counted: Coverage, pace: Pace | None) -> CoverageLine:
    selection = counted.selection
    query = urlencode({"species": selection.species.code, "season": selection.season.name})
    gap = "" if selection.closed else " ".join(sentences.target_notes(counted))
    return CoverageLine(
        selection.species.name,
        sentences.headline(counted),
        sentences.parts(counted),
        gap,
        f"{reverse('targets:coverage', args=[selection.lake.slug])}?{query}",
        pace,
    )


def pace_of(rows: Iterable[DayRow], wanted: WantedByBin, season: Season, day: date) -> Pace | None:
    """Add up, day by day, the fish that fill a target; a fish too many in one bin fills no other.

    The lake's own numbers count where it has any, else those of its arms. Fish of no known day
    count from the season's first.
    """
    lake_wide = {key: n for key, n in wanted.items() if key[0] is None}
    goal = lake_wide or wanted
    whole = sum(goal.values())
    if not whole:
        return None
    added: dict[date, dict[tuple[int | None, int], int]] = {}
    for arm, place, caught_on, n in rows:
        key = (None, place) if lake_wide else (arm, place)
        on = min(max(caught_on or season.starts_on, season.starts_on), season.ends_on)
        of_day = added.setdefault(on, {})
        of_day[key] = of_day.get(key, 0) + n
    sums = list(_running_sums(added, goal))
    collected = sums[-1][1] if sums else 0
    today = min(max(day, season.starts_on), season.ends_on)
    points = [(season.starts_on, 0), *sums, (max(today, sums[-1][0] if sums else today), collected)]
    drawn = [_point(on, total, whole, season) for on, total in points]
    return Pace(
        collected,
        whole,
        bool(lake_wide),
        round(whole * _share_of_season(today, season)),
        _stepped(drawn),
        drawn[-1],
    )


def _running_sums(
    added: Mapping[date, Mapping[tuple[int | None, int], int]],
    goal: Mapping[tuple[int | None, int], int],
) -> Iterable[tuple[date, int]]:
    so_far = dict.fromkeys(goal, 0)
    for on in sorted(added):
        for key, n in added[on].items():
            if key in goal:
                so_far[key] += n
        yield on, sum(min(n, goal[key]) for key, n in so_far.items())


def _share_of_season(on: date, season: Season) -> float:
    days = (season.ends_on - season.starts_on).days or 1
    return min(1.0, max(0.0, (on - season.starts_on).days / days))


def _point(on: date, total: int, whole: int, season: Season) -> tuple[float, float]:
    across = EDGE + (WIDE - 2 * EDGE) * _share_of_season(on, season)
    return round(across, 1), round(HIGH - EDGE - (HIGH - 2 * EDGE) * total / whole, 1)


def _stepped(points: list[tuple[float, float]]) -> str:
    """Return a path that stays level until the day that brings fish."""
    first, *others = points
    steps = "".join(f"H{x:g}V{y:g}" for x, y in others)
    return f"M{first[0]:g} {first[1]:g}{steps}"
