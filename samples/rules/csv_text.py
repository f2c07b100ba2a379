"""Words for a CSV file that a spreadsheet will not take for a formula."""

import re

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


# A number with its sign is a number; no spreadsheet works anything out of it.
_NUMBER = re.compile(r"[+-]?\d[\d,]*(\.\d+)?(e[+-]?\d+)?")


def plain_cell(words: str) -> str:
    """Put an apostrophe before words that begin like a formula and are no number."""
    if _NUMBER.fullmatch(words) or not words.startswith(FORMULA_SIGNS):
        return words
    return f"'{words}"
