"""What every block is made of, and the numbers of its figures and tables."""

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from samples.asks.rules import without_names
from samples.models import Lake, ReportBlock, Season
from samples.reports.document import Block, BlockKind, Figure, Part, Table

if TYPE_CHECKING:
    from samples.findings.computed import Question
    from samples.findings.page_model import Page

A_DONOR = "a donor"


@dataclass(frozen=True, slots=True)
class MadeFinding:
    """A finding of the report: what was asked, and the page that answers it."""

    question: "Question"
    page: "Page"


@dataclass(slots=True)
class Made:
    """A report while it is made: its lake and day, what was found, and how far it counted."""

    lake: Lake
    season: Season
    today: date
    donors: tuple[str, ...] = ()
    findings: list[MadeFinding] = field(default_factory=list)
    figures: int = 0
    tables: int = 0

    def numbered(self, part: Part) -> Part:
        """Return a figure or table with its number in the report."""
        if isinstance(part, Figure):
            self.figures += 1
            return Figure(self.figures, part.caption, part.alt, part.plot)
        if isinstance(part, Table):
            self.tables += 1
            return Table(self.tables, part.caption, part.columns, part.rows, part.note)
        return part

    def own_words(self, words: str) -> tuple[str, ...]:
        """Split words as typed into paragraphs, at lines that are empty."""
        lines = self.without_donors(words).replace("\r\n", "\n").split("\n\n")
        return tuple(one.strip() for one in lines if one.strip())

    def without_donors(self, words: str) -> str:
        """Return words that name no donor: who is known as one only later is taken out here."""
        return without_names(words, self.donors, A_DONOR)


def begin_block(made: Made, row: ReportBlock, number: int, heading: str) -> Block:
    """Return a block that has its heading and own words, and nothing else yet."""
    return Block(
        key=str(row.pk),
        kind=BlockKind(row.kind),
        number=number,
        heading=heading,
        own_words=made.own_words(row.words),
        topic=row.topic,
        query=row.query,
    )
