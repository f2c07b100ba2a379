"""What no database could keep or no page could show, found before a payload is read."""

import json
import math
from collections.abc import Mapping
from typing import Any

from samples.rules.plain_text import is_keepable, keepable

MOST_CHARACTERS = 20_000
# A list in a field is one level; what later apps send may nest a little more.
MOST_LEVELS = 4
LARGEST_NUMBER = 10**15
LONGEST_ID = 80

CANNOT_BE_KEPT = "This has a character that can't be saved. Delete it and type again."
TOO_DEEP = "This is nested too deeply. Write it as plain text."
TOO_LARGE = "This number is too large. Check it."


def is_too_long(payload: Mapping[str, Any]) -> bool:
    """Return whether a payload is longer than any entry."""
    return len(json.dumps(payload, default=str)) > MOST_CHARACTERS


def unsound_fields(payload: Mapping[str, Any]) -> dict[str, list[str]]:
    """Return by field what cannot be kept.

    Without recursion: what came may be nested deeper than a program can follow.
    """
    errors: dict[str, list[str]] = {}
    for name, value in payload.items():
        problem = _problem_of_name(name) or _problem_of_value(value)
        if problem:
            errors[keepable(str(name))[:LONGEST_ID]] = [problem]
    return errors


def _problem_of_name(name: Any) -> str:
    return "" if isinstance(name, str) and is_keepable(name) else CANNOT_BE_KEPT


def _problem_of_value(value: Any) -> str:
    level: list[Any] = [value]
    for _ in range(MOST_LEVELS):
        for one in level:
            if isinstance(one, str) and not is_keepable(one):
                return CANNOT_BE_KEPT
            if isinstance(one, int | float) and not _is_sane_number(one):
                return TOO_LARGE
        level = [inner for one in level for inner in _inside(one)]
        if not level:
            return ""
    return TOO_DEEP


def _is_sane_number(number: float) -> bool:
    return math.isfinite(number) and abs(number) <= LARGEST_NUMBER


def _inside(value: Any) -> list[Any]:
    if isinstance(value, Mapping):
        return [*value.keys(), *value.values()]
    return value if isinstance(value, list) else []
