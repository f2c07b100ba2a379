"""Slips that are asked about before a fish or a reading is saved.

Nothing here refuses: every question can be answered with "yes, it is right", and the answer is
kept under the question's code so that it is not asked again.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from types import MappingProxyType

from samples.rules.season_days import day_text


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask, the field it stands next to, and what was meant if that can be guessed."""

    code: str
    field: str
    sentence: str
    suggestion: str | None = None


@dataclass(frozen=True, slots=True)
class _Unit:
    """A unit as stored lengths know it, as a sentence says it, and how finely it is measured."""

    hundredths_mm: int
    word: str
    step: Decimal


_UNITS: Mapping[str, _Unit] = MappingProxyType(
    {"in": _Unit(2540, "inches", Decimal("0.1")), "mm": _Unit(100, "mm", Decimal(1))}
)


@dataclass(frozen=True, slots=True)
class _Slip:
    """One way to mistype a length: the unit it was taken in, and what undoes the slip."""

    code: str
    taken_in: str
    meant_in: str
    factor: Decimal


# What stands between the digits of a length that cannot be read, and how many digits can be one.
_POINTS = re.compile(r"[.,\s]+", re.ASCII)
_FEW_DIGITS = re.compile("[1-9][0-9]{1,3}")

# The likeliest first: the first slip whose mending gives a likely length is asked about.
_SLIPS = (
    _Slip("missing_point", "in", "in", Decimal("0.1")),
    _Slip("millimetres_meant", "in", "mm", Decimal(1)),
    _Slip("missing_point", "mm", "mm", Decimal("0.1")),
    _Slip("inches_meant", "mm", "in", Decimal(1)),
    _Slip("centimetres_meant", "mm", "mm", Decimal(10)),
)


def length_questions(
    length_hundredths_mm: int,
    as_measured: str,
    unit: str,
    species_range: tuple[int, int] | None,
    species_name: str,
) -> tuple[Question, ...]:
    """Ask about a length outside what the species runs to here, both ends being inside.

    A suggestion is in the unit of measurement unless it names another. Without a known range
    nothing is asked.
    """
    if species_range is None or _within(length_hundredths_mm, species_range):
        return ()
    value = Decimal(as_measured)
    for slip in _SLIPS:
        if slip.taken_in == unit and (question := _ask_about(slip, value, species_range)):
            return (question,)
    shortest, longest = (_plain(Decimal(end) / _UNITS[unit].hundredths_mm) for end in species_range)
    sentence = (
        f"{species_name} here run from {shortest} to {longest} {_UNITS[unit].word}. "
        f"Is {as_measured} right?"
    )
    return (Question("length_out_of_range", "length", sentence),)


def _ask_about(slip: _Slip, value: Decimal, species_range: tuple[int, int]) -> Question | None:
    # A point that was typed was not forgotten.
    if slip.code == "missing_point" and value.as_tuple().exponent != 0:
        return None
    meant, unit = value * slip.factor, _UNITS[slip.meant_in]
    if not _within(meant * unit.hundredths_mm, species_range):
        return None
    number = f"{meant:f}" if meant % 1 else str(meant.quantize(unit.step))
    suggestion = number if slip.meant_in == slip.taken_in else f"{number} {slip.meant_in}"
    return Question(slip.code, "length", f"Is this {number} {unit.word}?", suggestion)


def _within(length: Decimal | int, species_range: tuple[int, int]) -> bool:
    shortest, longest = species_range
    return shortest <= length <= longest


def _plain(value: Decimal) -> str:
    """Write a number to the tenth at most, and a whole one without a point: 17, not 17.0."""
    return f"{value.quantize(Decimal('0.1')):f}".removesuffix(".0")


def unreadable_length_questions(
    text: str, unit: str, species_range: tuple[int, int] | None
) -> tuple[Question, ...]:
    """Offer the likely length where a point stands in the wrong place: 1.01 or 1.0.1 for 10.1.

    The digits are read as tenths of an inch, or as whole millimetres. Where that is no likely
    length of the species nothing is offered.
    """
    typed = _POINTS.sub("", unicodedata.normalize("NFKC", text))
    if species_range is None or not _FEW_DIGITS.fullmatch(typed):
        return ()
    meant = Decimal(typed) * _UNITS[unit].step
    if not _within(meant * _UNITS[unit].hundredths_mm, species_range):
        return ()
    sentence = f"Is this {meant} {_UNITS[unit].word}?"
    return (Question("point_misplaced", "length", sentence, str(meant)),)


# Fish of the last weeks may still be of another year; a year typed wrongly is further away.
HALF_A_YEAR = timedelta(days=183)


def date_questions(
    caught_on: date,
    today: date,
    season_start: date | None = None,
    season_end: date | None = None,
) -> tuple[Question, ...]:
    """Ask about a catch date after today, of an earlier year, or outside the season.

    ``today`` is the day in the lake's own time zone. The phone's clock may be wrong, so a date in
    the future is asked about and never refused.
    """
    if caught_on > today:
        sentence = "The date is after today. When was the fish caught?"
        return (Question("date_in_future", "caught_on", sentence),)
    if caught_on.year < today.year and today - caught_on > HALF_A_YEAR:
        return (_year_slip(caught_on, today),)
    before = season_start is not None and caught_on < season_start
    after = season_end is not None and caught_on > season_end
    if not (before or after):
        return ()
    sentence = (
        f"{day_text(caught_on)} is outside the season"
        f"{_span(season_start, season_end)}. When was the fish caught?"
    )
    return (Question("date_out_of_season", "caught_on", sentence),)


def _year_slip(caught_on: date, today: date) -> Question:
    """Ask about a year, and suggest the same day of this one if it has been."""
    years = today.year - caught_on.year
    ago = "last year" if years == 1 else f"{years} years ago"
    sentence = f"{day_text(caught_on)} is {ago}. When was the fish caught?"
    meant = _in_year(caught_on, today.year)
    suggestion = meant.isoformat() if meant and meant <= today else None
    return Question("date_last_year", "caught_on", sentence, suggestion)


def _in_year(day: date, year: int) -> date | None:
    try:
        return day.replace(year=year)
    except ValueError:
        return None


def _span(start: date | None, end: date | None) -> str:
    if start is not None and end is not None:
        return f", {day_text(start)} to {day_text(end)}"
    if start is not None:
        return f", from {day_text(start)}"
    return f", to {day_text(end)}" if end is not None else ""


def spine_question(
    spines: int | None, spine_min: int | None, spine_max: int | None, species_name: str
) -> Question | None:
    """Ask for a second look where the spines counted do not fit the species that was chosen.

    The species is never changed: a count alone may not tell a hybrid.
    """
    if spines is None:
        return None
    low = spine_min is not None and spines < spine_min
    high = spine_max is not None and spines > spine_max
    if not (low or high):
        return None
    sentence = (
        f"{species_name}: {_spine_range(spine_min, spine_max)} on the top fin, and {spines} "
        "counted. The first is short and easily missed. Is the species right?"
    )
    return Question("spines_do_not_fit", "species", sentence)


def _spine_range(spine_min: int | None, spine_max: int | None) -> str:
    if spine_min is None:
        return f"{spine_max} spines or fewer"
    if spine_max is None:
        return f"{spine_min} spines or more"
    return f"{spine_min} to {spine_max} spines"


def age_questions(
    age: int | None, max_age: int | None, annuli: int | None = None
) -> tuple[Question, ...]:
    """Ask about an age above the highest that is likely for the species here.

    So is a count of annuli above it, also while the rule leaves the age open.
    """
    if max_age is None:
        return ()
    if age is not None and age > max_age:
        sentence = (
            f"Age {age} is above {max_age}, the maximum set for this lake. Is this the right vial?"
        )
    elif annuli is not None and annuli > max_age:
        sentence = (
            f"{annuli} annuli are more than {max_age}, the highest age likely here. "
            "Is this the right vial?"
        )
    else:
        return ()
    return (Question("age_above_highest", "annuli", sentence),)
