"""Days of the year without a year, and the days on which the ageing of a species turns."""

from calendar import monthrange
from dataclasses import dataclass, fields
from datetime import date
from typing import Self

# Not the library's month names: those change with the language of the machine.
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_LEAP_YEAR = 2000
_COMMON_YEAR = 2001


def day_text(day: date) -> str:
    """Write a date as it is shown everywhere: May 6, 2026."""
    return f"{_MONTHS[day.month - 1]} {day.day}, {day.year}"


@dataclass(frozen=True, slots=True, order=True)
class MonthDay:
    """A day of the year, such as the first of April in any year.

    :raises ValueError: if no year has such a day
    """

    month: int
    day: int

    def __post_init__(self) -> None:
        date(_LEAP_YEAR, self.month, self.day)

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read a day of the year written as month and day, 04-01.

        :raises ValueError: if it is not written so
        """
        month, hyphen, day = text.strip().partition("-")
        if not (hyphen and month.isdecimal() and day.isdecimal()):
            msg = f"a day of the year is written month-day, such as 04-01, not {text!r}"
            raise ValueError(msg)
        return cls(int(month), int(day))

    def on(self, year: int) -> date:
        """Return this day in a year; 29 February is the 28th where there is none."""
        try:
            return date(year, self.month, self.day)
        except ValueError:
            return date(year, self.month, self.day - 1)

    def text(self) -> str:
        """Write the day as it is shown: April 1."""
        return f"{_MONTHS[self.month - 1]} {self.day}"

    def __str__(self) -> str:
        return f"{self.month:02d}-{self.day:02d}"


def last_day_of(month: int) -> MonthDay:
    """Return the last day that a month has in every year."""
    return MonthDay(month, monthrange(_COMMON_YEAR, month)[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesCalendar:
    """The days on which a species in a lake lays its annulus, hatches and grows.

    Everything falls within one calendar year, because the fish's birthday is 1 January.

    :raises ValueError: if the days do not follow each other
    """

    annulus_starts: MonthDay = MonthDay(4, 1)
    annulus_ends: MonthDay = MonthDay(6, 30)
    hatch: MonthDay = MonthDay(5, 15)
    growth_starts: MonthDay = MonthDay(4, 15)
    growth_ends: MonthDay = MonthDay(10, 15)

    def __post_init__(self) -> None:
        if self.annulus_starts > self.annulus_ends:
            raise ValueError("The annulus window must start before it ends, within one year.")
        # Judged in a common year, where 29 February falls on the 28th.
        growth_ends = self.growth_ends.on(_COMMON_YEAR)
        if self.growth_starts.on(_COMMON_YEAR) >= growth_ends:
            raise ValueError("Growth must start before it ends, within one year.")
        # Else the year of hatching would hold no growing season, and the count would be one off.
        if self.hatch.on(_COMMON_YEAR) >= growth_ends:
            raise ValueError("Hatching must come before growth ends.")


# By the names of the calendar's days, which columns and form fields have too.
CALENDAR_DAYS = tuple(day.name for day in fields(SpeciesCalendar))
