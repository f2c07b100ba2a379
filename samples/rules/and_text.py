"""Names in a row, as they are said."""

from collections.abc import Sequence


def and_text(names: Sequence[str]) -> str:
    """Return names joined by commas and "and", for example "Tarrow, Hobbin and Main lake"."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
