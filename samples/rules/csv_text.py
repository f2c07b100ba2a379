"""Words for a CSV file that a spreadsheet will not take for a formula."""

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def plain_cell(words: str) -> str:
    """Put an apostrophe before words that begin like a formula."""
    return f"'{words}" if words.startswith(FORMULA_SIGNS) else words
