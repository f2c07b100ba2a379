"""How the biologist writes days of the year and bin widths, and which of them can stand."""

from samples.rules.season_days import MonthDay, SpeciesCalendar
from samples.units import HUNDREDTHS_PER_INCH, HUNDREDTHS_PER_MILLIMETRE, LengthUnit, to_text

_JANUARY = MonthDay(1, 1)
_MONTHS = {MonthDay(number, 1).text().split()[1].lower(): number for number in range(1, 13)}
_SHORTEST_MONTH_NAME = 3
# The finest step that the name of a bin can show.
_STEP = {
    LengthUnit.INCH: HUNDREDTHS_PER_INCH // 10,
    LengthUnit.MILLIMETRE: HUNDREDTHS_PER_MILLIMETRE,
}
_USUAL_WIDTHS = {LengthUnit.INCH: (1270, 2540), LengthUnit.MILLIMETRE: (1000, 2000, 2500)}
_WIDEST = {LengthUnit.INCH: 10 * HUNDREDTHS_PER_INCH, LengthUnit.MILLIMETRE: 25_000}
_HOW_TO_WRITE_A_DAY = "Give the day and the month, like 1 April."


class Unwritable(ValueError):
    """Say beside the field what to write instead."""


def read_month_day(text: str) -> MonthDay:
    """Read a day of the year: 1 April, April 1, 1 Apr. or 04-01.

    :raises Unwritable: if no year has such a day, or it could mean two days (4/5)
    """
    words = text.replace(",", " ").replace(".", " ").split()
    try:
        if len(words) == 1:
            return MonthDay.parse(words[0])
        day, month = _day_and_month(words)
        return MonthDay(month, day)
    except ValueError:
        raise Unwritable(_HOW_TO_WRITE_A_DAY) from None


def _day_and_month(words: list[str]) -> tuple[int, int]:
    first, second = words
    day, name = (first, second) if first.isdecimal() else (second, first)
    if len(name) < _SHORTEST_MONTH_NAME:
        raise ValueError(name)
    found = [number for month, number in _MONTHS.items() if month.startswith(name.lower())]
    (month,) = found
    return int(day), month


def month_day_text(stored: str) -> str:
    """Write a stored day of the year as it is shown: 1 April."""
    return MonthDay.parse(stored).text()


def calendar_problem(days: dict[str, MonthDay]) -> tuple[str, str] | None:
    """Find the first day of a species' calendar that cannot stand: its field and a sentence."""
    attempts = [
        ("annulus_ends", ("annulus_starts", "annulus_ends")),
        ("growth_ends", ("growth_starts", "growth_ends")),
        ("hatch", ("growth_starts", "growth_ends", "hatch")),
    ]
    for field, names in attempts:
        if not days.keys() >= set(names):
            continue
        told = {"hatch": _JANUARY, **{name: days[name] for name in names}}
        try:
            SpeciesCalendar(**told)
        except ValueError as problem:
            return field, str(problem)
    return None


def bin_width_problem(width_hundredths_mm: int, unit: LengthUnit) -> str | None:
    """Say why length bins of this width cannot be named in a unit, or nothing."""
    if width_hundredths_mm % _STEP[unit]:
        if unit is LengthUnit.INCH:
            return "Lengths here are in inches: give a width of whole tenths, like 1 or 0.5."
        return "Lengths here are in millimetres: give a whole number, like 25 or 20."
    if width_hundredths_mm > _WIDEST[unit]:
        widest = to_text(_WIDEST[unit], unit).removesuffix(".0")
        return f"Bins wider than {widest} {unit} tell nothing. Give a narrower one."
    return None


def bin_width_for(width_hundredths_mm: int, unit: LengthUnit) -> int:
    """Give the width to use after a change of unit: the same where it fits, else the nearest."""
    if bin_width_problem(width_hundredths_mm, unit) is None:
        return width_hundredths_mm
    return min(_USUAL_WIDTHS[unit], key=lambda usual: abs(usual - width_hundredths_mm))


def width_text(width_hundredths_mm: int, unit: LengthUnit) -> str:
    """Write a bin width without a needless tenth: 1 in, 0.5 in, 25 mm."""
    return f"{to_text(width_hundredths_mm, unit).removesuffix('.0')} {unit}"
