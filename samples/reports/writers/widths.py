"""How wide the columns of a table are where a file has to be told."""

from samples.reports.document import ColumnKind, Table
from samples.reports.writers.fonts import text_width

# In sizes of the letters: what a cell has at its sides, the widest one that does not wrap, and
# the least of one of sentences.
_PAD, _WIDEST, _SENTENCE = 1.6, 15.0, 22.0


def column_widths(table: Table, room: float, size: float) -> list[float]:
    """Share the room among the columns by what they hold; sentences take what is left over.

    Where the room is short, columns give way down to their longest word. ``room`` and the widths
    are points, as is ``size``, that of the letters.
    """
    places = range(len(table.columns))
    wanted = [_wanted(table, place, size) for place in places]
    least = [min(_least(table, place, size), wanted[place]) for place in places]
    if sum(wanted) <= room:
        has_sentences = any(one.kind is ColumnKind.SENTENCE for one in table.columns)
        share = room / sum(wanted) if has_sentences else 1.0
        return [one * share for one in wanted]
    if sum(least) >= room:
        return [one * room / sum(least) for one in least]
    share = (room - sum(least)) / (sum(wanted) - sum(least))
    return [few + share * (many - few) for few, many in zip(least, wanted, strict=True)]


def _texts(table: Table, place: int) -> list[str]:
    return [table.columns[place].head, *(row[place].words for row in table.rows)]


def _wanted(table: Table, place: int, size: float) -> float:
    if table.columns[place].kind is ColumnKind.SENTENCE:
        return _SENTENCE * size
    widest = max(text_width(words, size, bold=True) for words in _texts(table, place))
    return min(_WIDEST * size, widest) + _PAD * size


def _least(table: Table, place: int, size: float) -> float:
    """Return the width that breaks no word."""
    words = (word for text in _texts(table, place) for word in text.split())
    return max((text_width(one, size, bold=True) for one in words), default=0.0) + _PAD * size
