"""Weeks of a season, and the season that came before it: pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol, TypeVar

DAYS_A_WEEK = 7
DAYS_A_YEAR = 365.25


class HasDates(Protocol):
    """A season, or what has its two days."""

    starts_on: date
    ends_on: date


SeasonT = TypeVar("SeasonT", bound=HasDates)


@dataclass(frozen=True, slots=True)
class SeasonWeeks:
    """The weeks of a season, counted from its first day; the last one may be shorter."""

    starts_on: date
    ends_on: date

    @property
    def days(self) -> int:
        return (self.ends_on - self.starts_on).days + 1

    @property
    def count(self) -> int:
        return -(-self.days // DAYS_A_WEEK)

    @property
    def whole(self) -> int:
        """Return how many weeks have seven days."""
        return self.days // DAYS_A_WEEK

    def week_of(self, day: date) -> int:
        """Return the week of a day: the first for one before the season, the last for one after."""
        inside = min(max(day, self.starts_on), self.ends_on)
        return (inside - self.starts_on).days // DAYS_A_WEEK

    def start_of(self, week: int) -> date:
        return self.starts_on + timedelta(days=DAYS_A_WEEK * week)

    def days_before(self, day: date) -> int:
        """Return the days of the season up to and with this one: 0 before it, all after it."""
        return min(max((day - self.starts_on).days + 1, 0), self.days)

    def full_weeks_before(self, day: date) -> int:
        """Return the weeks of seven days that were over at the end of a day."""
        return min(self.days_before(day) // DAYS_A_WEEK, self.whole)

    def even_share(self, day: date) -> float:
        """Return the share of the season that is over at the end of a day."""
        return self.days_before(day) / self.days

    def steps_left(self, day: date) -> list[float]:
        """Return what is left after a day, as shares of a week: the rest of this one first."""
        over = self.days_before(day)
        ends = [*(DAYS_A_WEEK * (week + 1) for week in range(self.count - 1)), self.days]
        steps, at = [], over
        for end in ends:
            if end > at:
                steps.append((end - at) / DAYS_A_WEEK)
                at = end
        return steps


def years_between(earlier: HasDates, later: HasDates) -> int:
    return round((later.starts_on - earlier.starts_on).days / DAYS_A_YEAR)


def moved(day: date, years: int) -> date:
    """Return the same day so many years later; February 29 becomes the 28th."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def season_before(season: SeasonT, seasons: Iterable[SeasonT]) -> SeasonT | None:
    """Return the latest season of an earlier year at the same time of the year, if there is one."""
    earlier = [
        one
        for one in seasons
        if (years := years_between(one, season)) >= 1
        and moved(one.starts_on, years) <= season.ends_on
        and moved(one.ends_on, years) >= season.starts_on
    ]
    return max(earlier, key=lambda one: one.starts_on, default=None)
