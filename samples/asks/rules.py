"""What may stand in words that everybody reads: no person, no vial, no place below an arm."""

import re
from collections.abc import Iterable

from samples.rules.vial_number import VialNumberRefused, parse

# Digits as a vial number is written: in one piece, or in groups.
_DIGITS = re.compile(r"\d[\d \-]{4,}\d")
# A name in one piece of so few letters is met in other words: "Ann", "May".
_SHORTEST_NAME = 4


def vial_number_in(words: str) -> str:
    """Return the first vial number that a text holds, or nothing."""
    for found in _DIGITS.findall(words):
        try:
            parse(found)
        except VialNumberRefused:
            continue
        return str(found)
    return ""


def name_in(words: str, names: Iterable[str]) -> str:
    """Return the first of these names that a text holds as whole words, or nothing."""
    for name in names:
        plain = " ".join(name.split())
        if len(plain) < _SHORTEST_NAME:
            continue
        if re.search(rf"(?<!\w){re.escape(plain)}(?!\w)", words, re.IGNORECASE):
            return plain
    return ""
