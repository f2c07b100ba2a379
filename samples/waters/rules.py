"""How the biologist writes days of the year, bin widths and shares, and which can stand."""

import re
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

from samples.rules.season_days import MonthDay, SpeciesCalendar
from samples.units import HUNDREDTHS_PER_INCH, HUNDREDTHS_PER_MILLIMETRE, LengthUnit, to_text

_JANUARY = MonthDay(1, 1)
_MONTHS = {MonthDay(number, 1).text().split()[0].lower(): number for number in range(1, 13)}
_SHORTEST_MONTH_NAME = 3
# The finest step that the name of a bin can show.
_STEP = {
    LengthUnit.INCH: HUNDREDTHS_PER_INCH // 10,
    LengthUnit.MILLIMETRE: HUNDREDTHS_PER_MILLIMETRE,
}
_USUAL_WIDTHS = {LengthUnit.INCH: (1270, 2540), LengthUnit.MILLIMETRE: (1000, 2000, 2500)}
_WIDEST = {LengthUnit.INCH: 10 * HUNDREDTHS_PER_INCH, LengthUnit.MILLIMETRE: 25_000}
_NUMBER = re.compile(r"[0-9]{1,4}(?:\.[0-9]{0,6})?|\.[0-9]{1,6}", re.ASCII)
_SHARE_STEP = Decimal("0.0001")
# A rate above this leaves one fish in twenty after a year; a stock of such fish is not aged.
_HIGHEST_RATE = 3
_HOW_TO_WRITE_A_DAY = "Enter the month and the day, such as April 1."


class CopiedPart(StrEnum):
    """A part of a lake's settings that another lake may take over."""

    SPECIES = "species"
    TARGETS = "targets"
    REGULATIONS = "regulations"
    PRINTERS = "printers"


# Rules differ from lake to lake: those are copied where somebody says so.
USUAL_PARTS = frozenset({CopiedPart.SPECIES, CopiedPart.TARGETS, CopiedPart.PRINTERS})


class Unwritable(ValueError):
    """Say beside the field what to write instead."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


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
        raise Unwritable("no_day", _HOW_TO_WRITE_A_DAY) from None


def _day_and_month(parts: list[str]) -> tuple[int, int]:
    first, second = parts
    day, name = (first, second) if first.isdecimal() else (second, first)
    if len(name) < _SHORTEST_MONTH_NAME:
        raise ValueError(name)
    found = [number for month, number in _MONTHS.items() if month.startswith(name.lower())]
    (month,) = found
    return int(day), month


def month_day_text(stored: str) -> str:
    """Write a stored day of the year as it is shown: April 1."""
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
    """Return why length bins of this width cannot be named in a unit, or nothing."""
    if width_hundredths_mm % _STEP[unit]:
        if unit is LengthUnit.INCH:
            return "Enter inches in whole tenths, such as 1 or 0.5."
        return "Enter whole millimeters, such as 25 or 20."
    if width_hundredths_mm > _WIDEST[unit]:
        widest = to_text(_WIDEST[unit], unit).removesuffix(".0")
        return f"Enter a bin width of {widest} {unit} or less."
    return None


def bin_width_for(width_hundredths_mm: int, unit: LengthUnit) -> int:
    """Return the width to use after a change of unit: the same where it fits, else the nearest."""
    if bin_width_problem(width_hundredths_mm, unit) is None:
        return width_hundredths_mm
    return min(_USUAL_WIDTHS[unit], key=lambda usual: abs(usual - width_hundredths_mm))


def width_text(width_hundredths_mm: int, unit: LengthUnit) -> str:
    """Write a bin width without a needless tenth: 1 in, 0.5 in, 25 mm."""
    return f"{to_text(width_hundredths_mm, unit).removesuffix('.0')} {unit}"


def read_number(text: str) -> Decimal:
    """Read a number of 0 or more: 30, 7.5, 7,5 or 30 %.

    :raises Unwritable: if it is not one number
    """
    cleaned = text.strip().removesuffix("%").strip().replace(",", ".")
    if not _NUMBER.fullmatch(cleaned):
        raise Unwritable("no_number", "Enter one number, such as 30 or 7.5.")
    return Decimal(cleaned)


def share_of_percent(percent: Decimal) -> Decimal:
    """Turn percent, as typed, into a share between 0 and 1.

    A number above 0 and below 1 is taken for a share that was typed by mistake: none of these
    figures is ever known to a part of a percent.

    :raises Unwritable: if it cannot be percent
    """
    if percent > 100:
        raise Unwritable("above_100", "Enter a percent from 0 to 100, such as 30.")
    if 0 < percent < 1:
        meant = percent_text(percent)
        sentence = f"Enter percent, not a share: {meant} if you mean {percent.normalize()}."
        raise Unwritable("share", sentence)
    share = percent / 100
    if share % _SHARE_STEP:
        raise Unwritable("too_fine", "Enter at most two decimals, such as 7.25.")
    return share


def percent_text(share: Decimal) -> str:
    """Write a share as percent, without needless noughts: 30, 7.5."""
    text = f"{share * 100:.2f}"
    return text.rstrip("0").rstrip(".")


def share_of_rate(rate: Decimal) -> Decimal:
    """Turn M, per year, into the share that dies in a year by it alone: 1 - exp(-M).

    :raises Unwritable: if no fish that are aged die at such a rate
    """
    if not 0 < rate <= _HIGHEST_RATE:
        raise Unwritable(
            "no_rate",
            f"Enter M per year, above 0 and up to {_HIGHEST_RATE}, such as 0.36. "
            "To enter a percent, choose percent above.",
        )
    share = (1 - (-rate).exp()).quantize(_SHARE_STEP, rounding=ROUND_HALF_UP)
    if not share:
        raise Unwritable("none_die", "This M is close to 0. Enter one such as 0.36.")
    return share


def rate_text(share: Decimal) -> str:
    """Write the share that dies in a year as M, per year, to two places."""
    return f"{-(1 - share).ln():.2f}"


def more_taken_than_tagged(
    *, tags_out: int, returned: int, reporting: tuple[Decimal, Decimal], at_risk: Decimal
) -> bool:
    """Return whether these returns would mean that every tagged fish was caught, or more.

    ``reporting`` is least and most; ``at_risk`` is the share of tagged fish that lived and kept
    their tag.
    """
    return returned >= tags_out * at_risk * sum(reporting) / 2
