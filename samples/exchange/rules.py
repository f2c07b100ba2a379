"""What the columns of a spreadsheet may be called, and what may stand in them."""

import difflib
import re
import unicodedata
from collections.abc import Sequence
from datetime import date, datetime

WHOLE_LAKE = "Whole lake"

# The words of a heading, without case, spaces, signs and units, and the field they mean.
HEADINGS: dict[str, str] = {
    "vial": "vial",
    "vialnumber": "vial",
    "vialno": "vial",
    "number": "vial",
    "species": "species",
    "length": "length",
    "totallength": "length",
    "tl": "length",
    "sex": "sex",
    "age": "age",
    "ageyears": "age",
    "arm": "arm",
    "reach": "reach",
    "date": "caught_on",
    "datecaught": "caught_on",
    "caughton": "caught_on",
    "catchdate": "caught_on",
    "method": "method",
    "gear": "method",
    "weight": "weight",
}
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
DATE_FORMATS = ("%Y-%m-%d", "%d %B %Y", "%d %b %Y", "%B %d, %Y")
NOTHING = {"", "na", "n/a", "-", "."}
MOST_BYTES = 10 * 1024 * 1024
MOST_BAD_ROWS_SHOWN = 50


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
    """Say which field a heading means and which unit it names; each empty if none."""
    words = re.findall(r"[a-z]+", heading.lower())
    unit = UNITS_IN_HEADINGS.get(words[-1], "") if len(words) > 1 else ""
    name = "".join(words[:-1] if unit else words)
    return HEADINGS.get(name, ""), unit


def ring_heading_meaning(heading: str) -> tuple[str, str]:
    """Say the same of a heading in a spreadsheet of readings; radii are radius_1, radius_2 ..."""
    plain = unicodedata.normalize("NFKC", heading).lower().replace("\u03bc", "u")
    words = re.findall(r"[a-z]+|[0-9]+", plain)
    unit = next((UNITS_OF_RADII[word] for word in words if word in UNITS_OF_RADII), "")
    left_out = _SMALL_WORDS | UNITS_OF_RADII.keys()
    name = "".join(word for word in words if word not in left_out)
    ring = _RING.fullmatch(name)
    return f"radius_{ring[1]}" if ring else RING_HEADINGS.get(name, ""), unit


def day_of(text: str) -> date | None:
    """Read a date that can be read in one way only, or None."""
    for form in DATE_FORMATS:
        try:
            return datetime.strptime(text, form).date()  # noqa: DTZ007
        except ValueError:
            continue
    return None
