"""The blocks of a report as its page lists them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from samples.findings.computed import parse_query, read_question
from samples.findings.topics import TOPICS
from samples.models import Lake, ReportBlock, ReportBlockKind
from samples.reports.queries import GONE, NO_SUCH_TOPIC, chosen_fish

SAID = {
    ReportBlockKind.SUMMARY.value: "The answers of the other blocks",
    ReportBlockKind.COVERAGE.value: "Fish aged, of fish wanted",
    ReportBlockKind.SOURCES.value: "Methods of capture and number of donors",
    ReportBlockKind.PLAN.value: "Fish still needed, by arm and length",
    ReportBlockKind.METHODS.value: "Written by the program",
    ReportBlockKind.REFERENCES.value: "Publications that the blocks cite",
}


@dataclass(frozen=True, slots=True)
class ShownBlock:
    """A block in the list: what it is called, what it is of, and where its finding is open."""

    row: ReportBlock
    title: str
    choice: str
    problem: str
    address: str


def shown_blocks(lake: Lake, rows: Sequence[ReportBlock], today: date) -> list[ShownBlock]:
    """Return blocks with the choice of each finding in words, or why it can't be made."""
    return [_shown(lake, row, today) for row in rows]


def _shown(lake: Lake, row: ReportBlock, today: date) -> ShownBlock:
    if row.kind != ReportBlockKind.FINDING:
        label = ReportBlockKind(row.kind).label
        return ShownBlock(row, str(label), SAID[row.kind], "", "")
    topic = TOPICS.get(row.topic)
    if topic is None:
        return ShownBlock(row, row.topic, "", NO_SUCH_TOPIC, "")
    _, question = read_question(lake, topic, parse_query(row.query), today=today)
    address = reverse("findings:finding", args=[lake.slug, row.topic])
    address = f"{address}?{row.query}" if row.query else address
    if question is None:
        return ShownBlock(row, topic.title, "", GONE, address)
    return ShownBlock(row, topic.title, chosen_fish(question), "", address)
