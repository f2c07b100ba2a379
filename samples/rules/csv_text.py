"""Words for a CSV file that a spreadsheet will not take for a formula."""

import re

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


# A number with its sign is a number; no spreadsheet works anything out of it.
_NUMBER = re.compile(r"[+-]?\d[\d,]*(\.\d+)?(e[+-]?\d+)?")


def plain_cell(text: str) -> str:
    """Put an apostrophe before words that begin like a formula and are no number."""
    if _NUMBER.fullmatch(text) or not text.startswith(FORMULA_SIGNS):
        return text
    return f"'{text}"
