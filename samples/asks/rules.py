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
    for plain in _looked_for(names):
        if re.search(_as_typed(plain), words, re.IGNORECASE):
            return plain
    return ""


def without_names(words: str, names: Iterable[str], in_place: str) -> str:
    """Return a text with each of these names replaced, those that hold others first."""
    found = sorted(_looked_for(names), key=len, reverse=True)
    if not found:
        return words
    # In one go: what is put in the place of a name may be a name itself.
    return re.sub("|".join(map(_as_typed, found)), lambda _: in_place, words, flags=re.IGNORECASE)


def _looked_for(names: Iterable[str]) -> list[str]:
    plain = (" ".join(name.split()) for name in names)
    return [name for name in plain if len(name) >= _SHORTEST_NAME]


def _as_typed(name: str) -> str:
    """Return the pattern of a name as whole words, whatever blanks and lines part them."""
    words = r"\s+".join(map(re.escape, name.split()))
    return rf"(?<!\w){words}(?!\w)"
