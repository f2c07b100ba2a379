"""How wide the columns of a table are where a file has to be told."""

from samples.reports.document import ColumnKind, Table
from samples.reports.writers.fonts import text_width

# In sizes of the letters: what a cell has at its sides, the widest one that does not wrap, and
# one of sentences.
_PAD, _WIDEST, _SENTENCE = 1.6, 15.0, 22.0


def column_widths(table: Table, room: float, size: float) -> list[float]:
    """Share the room among the columns by what they hold; sentences take what is left over.

    ``room`` and the widths are points, as is ``size``, that of the letters.
    """
    wanted = [_wanted(table, place, size) for place in range(len(table.columns))]
    share = room / sum(wanted)
    has_sentences = any(one.kind is ColumnKind.SENTENCE for one in table.columns)
    return [one * (share if has_sentences or share < 1 else 1.0) for one in wanted]


def _wanted(table: Table, place: int, size: float) -> float:
    column = table.columns[place]
    if column.kind is ColumnKind.SENTENCE:
        return _SENTENCE * size
    widest = max(
        text_width(words, size, bold=True)
        for words in [column.head, *(row[place].words for row in table.rows)]
    )
    return min(_WIDEST * size, widest) + _PAD * size
