"""What the columns of a spreadsheet may be called, and what may stand in them."""

import difflib
import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from samples.ramp.entry import FishFacts, PartyFacts, specs_of
from samples.units import (
    HUNDREDTHS_PER_INCH,
    HUNDREDTHS_PER_MILLIMETRE,
    LengthUnit,
    LengthUnreadable,
    Measured,
    parse_length,
)

WHOLE_LAKE = "Whole lake"

# The words of a heading, without case, spaces, signs and units, and the field they mean: those of
# the fields of an entry, and an age, which no entry has.
HEADINGS: dict[str, str] = {
    head: one.word
    for one in (*specs_of(FishFacts), *specs_of(PartyFacts))
    for head in one.spec.heads
} | {"age": "age", "ageyears": "age"}
UNITS_IN_HEADINGS = {"in": "in", "inch": "in", "inches": "in", "mm": "mm", "cm": "cm", "g": "g"}

# The same for a spreadsheet of readings with measured rings, small words left out.
RING_HEADINGS: dict[str, str] = {
    "vial": "vial",
    "vialnumber": "vial",
    "vialno": "vial",
    "annuli": "annuli",
    "numberannuli": "annuli",
    "annuluscount": "annuli",
    "count": "annuli",
    "rings": "annuli",
    "margin": "margin",
    "margincode": "margin",
    "method": "method",
    "readmethod": "method",
    "preparation": "method",
    "date": "read_on",
    "readon": "read_on",
    "dateread": "read_on",
    "readdate": "read_on",
    "datereading": "read_on",
    "readingdate": "read_on",
    "sitting": "read_on",
    "edge": "edge",
    "edgeradius": "edge",
    "radiusedge": "edge",
    "otolithradius": "edge",
    "totalradius": "edge",
    "radiuscapture": "edge",
}
UNITS_OF_RADII = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(
        ("um", "micrometre", "micrometres", "micrometer", "micrometers", "micron", "microns"), "um"
    ),
    **dict.fromkeys(("px", "pixel", "pixels"), "px"),
}
_SMALL_WORDS = {"at", "in", "of", "the", "to"}
_RING = re.compile(r"(?:r|rad|radius|ring|annulus|radiusannulus|radiusring)0*([1-9][0-9]?)")

READ_METHODS = {
    "whole": "whole",
    "wholeotolith": "whole",
    "section": "section",
    "sections": "section",
    "sectioned": "section",
    "thinsection": "section",
    "crackandburn": "crack_burn",
    "crackburn": "crack_burn",
    "crackedandburned": "crack_burn",
    "crackedandburnt": "crack_burn",
    "breakandburn": "crack_burn",
    "breakburn": "crack_burn",
}
# Far outside what an annulus of a fish's otolith can be. A comma that parts thousands of
# micrometres, read as a decimal comma, falls below.
LEAST_RADIUS_UM, MOST_RADIUS_UM = 25, 20_000

SEXES = {
    "": "U",
    "f": "F",
    "female": "F",
    "m": "M",
    "male": "M",
    "i": "I",
    "immature": "I",
    "u": "U",
    "unknown": "U",
    "notknown": "U",
    "na": "U",
}
DATE_FORMATS = (
    "%Y-%m-%d",
    "%Y/%m/%d",
    "%Y%m%d",
    "%d %B %Y",
    "%d %b %Y",
    "%d-%b-%Y",
    "%d-%b-%y",
    "%B %d, %Y",
    "%B %d %Y",
    "%b %d, %Y",
    "%b %d %Y",
)
NUMBERED_DATES = {
    "mdy": ("%m/%d/%Y", "%m-%d-%Y", "%m.%d.%Y", "%m/%d/%y", "%m-%d-%y", "%m.%d.%y"),
    "dmy": ("%d/%m/%Y", "%d-%m-%Y", "%d.%m.%Y", "%d/%m/%y", "%d-%m-%y", "%d.%m.%y"),
}
_NUMBERED = re.compile(r"\s*(\d{1,2})[/.-](\d{1,2})[/.-](?:\d{4}|\d{2})\b")
# Spreadsheets write midnight after a day that was typed without a time.
_TIME = re.compile(r"[ T]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[AP]M)?$", re.IGNORECASE)
MONTHS = 12
# From a hatch in mid May to New Year's: 231 of 365.25 days.
SHARE_FROM_NEW_YEAR = Decimal("0.63")
NOTHING = {"", "na", "n/a", "-", "."}
MOST_BYTES = 10 * 1024 * 1024
MOST_BAD_ROWS_SHOWN = 50
# Finer than a measuring board shows: hundredths of a millimetre, quarters of an inch.
_WITH_FRACTION = re.compile(
    r"(?:(?P<whole>\d{1,3})[ -]?)??(?P<over>\d)/(?P<under>2|4|8|16)\s*(?:\"|in)?", re.ASCII
)
_FINE = re.compile(r"(?P<value>\d{0,4}[.,]\d{2,})\s*(?P<unit>mm|cm|in)?", re.ASCII)
_HUNDREDTHS = {
    LengthUnit.INCH: HUNDREDTHS_PER_INCH,
    LengthUnit.MILLIMETRE: HUNDREDTHS_PER_MILLIMETRE,
}
_MOST_CHARACTERS = 10


def squeeze(text: str) -> str:
    """Take case, spaces and signs out of a word, so that spellings meet."""
    return re.sub(r"[^a-z0-9]", "", text.lower())


# From memory of common practice: below this, most pairs of lakes are other lakes.
LEAST_LIKENESS = 0.8


def nearly_alike(name: str, names: Sequence[str]) -> list[str]:
    """Find the names that a name may be a slip for, or a shorter form of; the nearest first."""
    plain = squeeze(name)
    by_plain = {squeeze(one): one for one in names}
    near = difflib.get_close_matches(plain, by_plain, n=3, cutoff=LEAST_LIKENESS)
    near += [
        one for one in by_plain if one not in near and plain and (plain in one or one in plain)
    ]
    return [by_plain[one] for one in near]


def heading_meaning(heading: str) -> tuple[str, str]:
    """Return which field a heading means and which unit it names; each empty if none."""
    words = re.findall(r"[a-z]+", heading.lower())
    unit = UNITS_IN_HEADINGS.get(words[-1], "") if len(words) > 1 else ""
    name = "".join(words[:-1] if unit else words)
    return HEADINGS.get(name, ""), unit


def ring_heading_meaning(heading: str) -> tuple[str, str]:
    """Return the same for a heading in a spreadsheet of readings;
    radii are radius_1, radius_2 ...
    """
    plain = unicodedata.normalize("NFKC", heading).lower().replace("\u03bc", "u")
    words = re.findall(r"[a-z]+|[0-9]+", plain)
    unit = next((UNITS_OF_RADII[word] for word in words if word in UNITS_OF_RADII), "")
    left_out = _SMALL_WORDS | UNITS_OF_RADII.keys()
    name = "".join(word for word in words if word not in left_out)
    ring = _RING.fullmatch(name)
    return f"radius_{ring[1]}" if ring else RING_HEADINGS.get(name, ""), unit


def day_of(text: str, order: str = "") -> date | None:
    """Read a date, or None; one of three numbers only where the order of its parts is known.

    :param order: "mdy" for 5/6/2026 as May 6, "dmy" for 6 May
    """
    plain = _TIME.sub("", text.strip())
    for form in [*DATE_FORMATS, *NUMBERED_DATES.get(order, ())]:
        try:
            return datetime.strptime(plain, form).date()  # noqa: DTZ007
        except ValueError:
            continue
    return None


def order_of_dates(texts: Iterable[str]) -> str:
    """Return whether month or day comes first, from all dates of a column; "" if neither.

    A number above 12 can only be a day. One column is written in one way.
    """
    pairs = [(int(m[1]), int(m[2])) for m in map(_NUMBERED.match, texts) if m]
    day_first = any(first > MONTHS for first, _ in pairs)
    month_first = any(second > MONTHS for _, second in pairs)
    if day_first == month_first:
        return ""
    return "dmy" if day_first else "mdy"


def whole_age(years: Decimal, caught_on: date | None) -> int:
    """Turn a decimal age into whole years by the birthday of January 1.

    A fish that hatched in mid May is 3.9 years old in mid April, and of age 4 already. Without
    a date the share of the year decides: from January 1 on it is above 0.63.
    """
    if years == years.to_integral_value():
        return int(years)
    if caught_on is not None:
        hatched = caught_on - timedelta(days=float(years) * 365.25)
        return caught_on.year - hatched.year
    return int(years) + (years % 1 >= SHARE_FROM_NEW_YEAR)


def read_length(text: str, unit: str) -> tuple[Measured, bool]:
    """Read a length of a spreadsheet; the second value says that it had to be rounded.

    A length is kept in hundredths of a millimetre, so millimetres to the hundredth and
    quarters of an inch are kept exactly. What is finer is rounded to the nearest.

    :raises LengthUnreadable: if it is no length
    """
    plain = " ".join(text.split())
    try:
        return _as_measured_in_field(plain, unit), False
    except LengthUnreadable:
        # Finer than any measuring board shows: what the ramp refuses, a spreadsheet may hold.
        if fraction := _WITH_FRACTION.fullmatch(plain):
            return _of_fraction(fraction)
        fine = _FINE.fullmatch(plain)
        if fine is None:
            raise
        value = Decimal(fine["value"].replace(",", "."))
        measured_in = fine["unit"] or unit
        return _kept(value * 10, "mm") if measured_in == "cm" else _kept(value, measured_in)


def _as_measured_in_field(plain: str, unit: str) -> Measured:
    if unit == "cm":
        return parse_length(f"{plain} cm" if plain else plain, LengthUnit.MILLIMETRE)
    return parse_length(plain, LengthUnit(unit))


def _of_fraction(found: re.Match[str]) -> tuple[Measured, bool]:
    """Return a fraction as inches: nobody writes half a millimetre as a fraction."""
    value = Decimal(int(found["whole"] or 0)) + Decimal(found["over"]) / Decimal(found["under"])
    return _kept(value, "in")


def _kept(value: Decimal, measured_in: str) -> tuple[Measured, bool]:
    unit = LengthUnit(measured_in)
    exact = value * _HUNDREDTHS[unit]
    hundredths = exact.quantize(Decimal(1), rounding=ROUND_HALF_UP)
    if not hundredths:
        raise LengthUnreadable("zero", "Enter a length above 0.")
    shown = value.normalize() if value % 1 else value.quantize(Decimal("0.1"))
    return Measured(int(hundredths), unit, f"{shown:f}"[:_MOST_CHARACTERS]), exact != hundredths
