"""A season week by week: what was collected, what it fills, and what it comes to."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from samples.models import Arm
from samples.science.arguments import Ints
from samples.science.errors import CannotEstimate
from samples.science.season_forecast import (
    FEWEST_FISH,
    FEWEST_WEEKS,
    KnownWeeks,
    SeasonForecast,
    Wanted,
    forecast_season,
)
from samples.seasons.rules import SeasonWeeks, moved
from samples.targets.queries.counts import GroupRow
from samples.targets.queries.set_targets import WantedByBin

A_DAY = timedelta(days=1)
NO_WEEKS: Ints = np.zeros(0, dtype=np.int64)
GroupKey = int | str | None


@dataclass(frozen=True, slots=True)
class Frame:
    """The season that is shown, its weeks, and the one before it.

    ``years`` is how many years its days are later than those of ``last``.
    """

    season: int
    weeks: SeasonWeeks
    today: date
    last: int | None = None
    last_weeks: SeasonWeeks | None = None
    last_name: str = ""
    years: int = 0

    @property
    def closed(self) -> bool:
        return self.today > self.weeks.ends_on

    @property
    def now(self) -> float:
        """Return how many weeks of the season are over."""
        return self.weeks.days_before(self.today) / 7

    @property
    def full_weeks(self) -> int:
        return self.weeks.full_weeks_before(self.today)

    def week_in_last(self, week: int) -> bool:
        """Return whether the last season went on for the whole of a week."""
        if self.last_weeks is None:
            return False
        starts_on = moved(self.last_weeks.starts_on, self.years)
        ends_on = moved(self.last_weeks.ends_on, self.years)
        first, after = self.weeks.start_of(week), self.weeks.start_of(week + 1)
        return week < self.weeks.whole and starts_on <= first and after <= ends_on + A_DAY


@dataclass(frozen=True, slots=True, eq=False)
class Weekly:
    """Fish by week of catch, arm and bin; ``undated`` are those of no known day."""

    by_week: Ints
    undated: Ints

    @property
    def total(self) -> Ints:
        return np.asarray(self.undated + self.by_week.sum(axis=0), dtype=np.int64)

    @property
    def running(self) -> Ints:
        """Return the fish until the end of each week, those of no known day first of all."""
        sums = np.cumsum(self.by_week, axis=0) + self.undated
        return np.concatenate([self.undated[None], sums])

    def rows(self, places: Sequence[int]) -> "Weekly":
        """Return the fish of some arms alone."""
        return Weekly(self.by_week[:, places], self.undated[places])


@dataclass(frozen=True, slots=True, eq=False)
class Filling:
    """How one species fills a season.

    ``wanted`` is none where it has no targets, or they are for other bins. ``a_trip`` is how many
    fish come together, as a rule.
    """

    frame: Frame
    arms: list[Arm]
    this: Weekly
    last: Weekly | None
    wanted: Wanted | None
    a_trip: int

    def measure(self, counts: Ints) -> Ints:
        """Return the fish that fill targets; all of them where there are none."""
        if self.wanted is None:
            return np.asarray(counts.sum(axis=(-2, -1)), dtype=np.int64)
        return self.wanted.filled(counts)

    @property
    def collected(self) -> int:
        return int(self.this.total.sum())

    @property
    def short(self) -> int:
        return int(self.wanted.short(self.this.total)) if self.wanted else 0

    def forecast(self) -> SeasonForecast:
        """Return what the season comes to.

        :raises CannotEstimate: closed, no_targets, few_weeks, few_fish
        """
        frame = self.frame
        if frame.closed:
            raise CannotEstimate("closed", "The season is over.")
        if self.wanted is None:
            raise CannotEstimate("no_targets", "Nothing is wanted.")
        known = self._known_weeks()
        left = frame.weeks.steps_left(frame.today)
        return forecast_season(known, self.this.total, self.wanted, left=left)

    def _known_weeks(self) -> KnownWeeks:
        """Return last season's weeks from today on, if it has enough; else this season's."""
        full = self.frame.full_weeks
        this = self.this.by_week[:full].sum(axis=(1, 2))
        drawn = self.weeks_of_last
        if self.last is None or not drawn:
            return KnownWeeks(this, NO_WEEKS, NO_WEEKS, self.this.total, self.a_trip)
        before = [week for week in range(full) if self.frame.week_in_last(week)]
        last = self.last.by_week.sum(axis=(1, 2))
        fish = self.this.total + self.last.by_week[drawn].sum(axis=0)
        return KnownWeeks(last[drawn], this[before], last[before], fish, self.a_trip)

    @property
    def weeks_of_last(self) -> list[int]:
        """Return the weeks of last season that a forecast is drawn from: those from today on, and
        its last ones before where fewer are left; none where it says too little.
        """
        if self.last is None or self.last.by_week.sum() < FEWEST_FISH:
            return []
        known = [week for week in range(self.frame.weeks.count) if self.frame.week_in_last(week)]
        left = [week for week in known if week >= self.frame.full_weeks]
        drawn = known[-max(len(left), FEWEST_WEEKS) :] if left else []
        return drawn if len(drawn) >= FEWEST_WEEKS else []


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Fish of one arm, reach, sex or method, week by week: all of them, whatever is wanted."""

    name: str
    this: Ints
    undated: int
    last: Ints | None
    last_undated: int

    @property
    def total(self) -> int:
        return self.undated + int(self.this.sum())


def fill_species(
    rows: Iterable[GroupRow], frame: Frame, arms: list[Arm], wanted: WantedByBin
) -> Filling:
    """Put the counted fish of one species in order."""
    counted = list(rows)
    places = sorted({row[4] for row in counted} | {place for _, place in wanted}) or [0]
    place_of = {place: at for at, place in enumerate(places)}
    arm_of = {arm.pk: at for at, arm in enumerate(arms)}
    shape = (len(arms), len(places))
    this = _weekly(counted, frame, frame.season, 0, arm_of, place_of, shape)
    last = None
    if frame.last is not None:
        last = _weekly(counted, frame, frame.last, frame.years, arm_of, place_of, shape)
    return Filling(
        frame=frame,
        arms=arms,
        this=this,
        last=last,
        wanted=_wanted(wanted, arm_of, place_of, shape) if wanted else None,
        a_trip=_fish_a_trip(counted),
    )


def split_groups(
    rows: Iterable[GroupRow], frame: Frame, names: Mapping[GroupKey, str]
) -> list[Group]:
    """Count the fish of each group by week; groups of one name, such as reaches, are one."""
    order = list(dict.fromkeys(names.values()))
    at_name = {name: at for at, name in enumerate(order)}
    weeks = frame.weeks.count
    this = np.zeros((len(order), weeks), dtype=np.int64)
    last, undated = this.copy(), np.zeros((2, len(order)), dtype=np.int64)
    for season, _, _, key, _, caught_on, n in rows:
        at, is_last = at_name[names[key]], season != frame.season
        if caught_on is None:
            undated[int(is_last), at] += n
            continue
        week = frame.weeks.week_of(moved(caught_on, frame.years) if is_last else caught_on)
        (last if is_last else this)[at, week] += n
    has_last = frame.last is not None
    return [
        Group(
            name,
            this[at],
            int(undated[0, at]),
            last[at] if has_last else None,
            int(undated[1, at]),
        )
        for at, name in enumerate(order)
        if this[at].sum() + last[at].sum() + undated[:, at].sum()
    ]


def _weekly(
    rows: Iterable[GroupRow],
    frame: Frame,
    season: int,
    years: int,
    arm_of: Mapping[int, int],
    place_of: Mapping[int, int],
    shape: tuple[int, int],
) -> Weekly:
    by_week = np.zeros((frame.weeks.count, *shape), dtype=np.int64)
    undated = np.zeros(shape, dtype=np.int64)
    for of_season, _, arm, _, place, caught_on, n in rows:
        if of_season != season:
            continue
        cell = arm_of[arm], place_of[place]
        if caught_on is None:
            undated[cell] += n
        else:
            by_week[(frame.weeks.week_of(moved(caught_on, years)), *cell)] += n
    return Weekly(by_week, undated)


def _wanted(
    wanted: WantedByBin,
    arm_of: Mapping[int, int],
    place_of: Mapping[int, int],
    shape: tuple[int, int],
) -> Wanted:
    lake_wide, arms = np.zeros(shape[1], dtype=np.int64), np.zeros(shape, dtype=np.int64)
    for (arm, place), n in wanted.items():
        if arm is None:
            lake_wide[place_of[place]] = n
        else:
            arms[arm_of[arm], place_of[place]] = n
    return Wanted(lake_wide, arms)


def _fish_a_trip(rows: Iterable[GroupRow]) -> int:
    """Return the fish of one arm on one day, on average."""
    days: dict[tuple[int, date], int] = {}
    for _, _, arm, _, _, caught_on, n in rows:
        if caught_on is not None:
            days[arm, caught_on] = days.get((arm, caught_on), 0) + n
    return max(1, round(sum(days.values()) / len(days))) if days else 1
