"""Tables of a finding: columns that know their unit, rows of values."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from samples.findings.page_model.cells import Cell, Missing, Text


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head on the page, and its plain name and unit in a file.

    An interval has the name of what it is of, and stands in a file as its low and high.
    """

    head: str
    name: str = ""
    unit: str = ""

    @property
    def file_name(self) -> str:
        return self.name or self.head


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of values; the first cell heads its row. ``note`` explains what stands in it.

    ``folded`` tables open when asked for; those ``in_file_only`` are too long for a page.
    """

    name: str
    caption: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]] = field(default_factory=list)
    note: str = ""
    folded: bool = False
    in_file_only: bool = False

    @property
    def heads(self) -> list[str]:
        return [column.head for column in self.columns]

    def is_text(self, place: int) -> bool:
        """Return whether a column holds words and not one number."""
        cells = [row[place] for row in self.rows]
        return all(isinstance(cell, Text | Missing) for cell in cells) and any(
            isinstance(cell, Text) for cell in cells
        )
