"""What the columns of a spreadsheet of fish may be called, and what may stand in them."""

import re

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


def heading_meaning(heading: str) -> tuple[str, str]:
    """Say which field a heading means and which unit it names; each empty if none."""
    words = re.findall(r"[a-z]+", heading.lower())
    unit = UNITS_IN_HEADINGS.get(words[-1], "") if len(words) > 1 else ""
    name = "".join(words[:-1] if unit else words)
    return HEADINGS.get(name, ""), unit
