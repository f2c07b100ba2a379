"""Making a whole report: its blocks in order, then those that speak of the others."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from fisheries import __version__
from samples.models import Report, ReportBlock, ReportBlockKind, read_revision
from samples.reports.blocks.appendix import with_appendix
from samples.reports.blocks.counts import coverage_block, plan_block, sources_block
from samples.reports.blocks.finding import finding_block
from samples.reports.blocks.made import Made, begin_block
from samples.reports.blocks.methods import method_sources, methods_block
from samples.reports.blocks.poster import make_poster
from samples.reports.blocks.summary import summary_block
from samples.reports.document import Block, BlockKind, Document, Passage
from samples.reports.queries import donor_names
from samples.rules.lake_time import local_day
from samples.rules.season_days import day_text

Kind = ReportBlockKind
Tell = Callable[[int, str], None]
BlockMaker = Callable[[ReportBlock, int, Made], Block]
MAKERS: dict[str, BlockMaker] = {
    Kind.COVERAGE: coverage_block,
    Kind.SOURCES: sources_block,
    Kind.FINDING: finding_block,
    Kind.PLAN: plan_block,
}
NO_SOURCES = "No block of this report cites a publication."


@dataclass(frozen=True, slots=True)
class MadeReport:
    """A document, and the mark of the data that it was made of."""

    document: Document
    revision: str


def assemble(
    report: Report, rows: Sequence[ReportBlock], *, draft: int, now: datetime, tell: Tell
) -> MadeReport:
    """Make a report of the data as they stand; donors are named nowhere in it.

    The revision is read first: data that change meanwhile make the report one of older data.
    """
    lake = report.lake
    revision = read_revision(lake.pk)
    made = Made(
        lake, report.season, local_day(now, lake.time_zone), donors=tuple(donor_names(lake))
    )
    found: dict[int, Block] = {}
    for place, row in enumerate(rows):
        if row.kind in MAKERS:
            tell(100 * place // len(rows), f"Block {place + 1} of {len(rows)}")
            found[row.pk] = MAKERS[row.kind](row, place + 1, made)
    for place, row in enumerate(rows):
        if row.kind == Kind.METHODS:
            found[row.pk] = methods_block(row, place + 1, made)
    for place, row in enumerate(rows):
        if row.kind == Kind.SUMMARY:
            said = [found[one.pk] for one in rows if one.pk in found]
            found[row.pk] = summary_block(made, row, place + 1, said)
    blocks = [found.get(row.pk) for row in rows]
    for place, row in enumerate(rows):
        if row.kind == Kind.REFERENCES:
            blocks[place] = _references(made, row, place + 1, list(found.values()))
    listed = any(row.kind == Kind.REFERENCES for row in rows)
    document = Document(
        title=made.without_donors(report.title),
        lake=str(lake),
        season=f"season {report.season}",
        made_at=now.astimezone(ZoneInfo(lake.time_zone)).isoformat(),
        made_on=day_text(made.today),
        revision=revision,
        version=__version__,
        blocks=with_appendix([_without_sources(one) if listed else one for one in blocks if one]),
        draft=draft,
        paper=report.paper,
        authors=tuple(one.strip() for one in report.authors.split(",") if one.strip()),
        words=made.own_words(report.words),
        poster=make_poster(made),
    )
    return MadeReport(document, revision)


def _references(made: Made, row: ReportBlock, number: int, blocks: Sequence[Block]) -> Block:
    block = begin_block(made, row, number, "References")
    sources = {one for block in blocks for one in block.sources}
    if any(one.kind is BlockKind.METHODS for one in blocks):
        sources |= set(method_sources())
    if not sources:
        return replace(block, missing=NO_SOURCES)
    return replace(block, parts=(Passage("", tuple(sorted(sources, key=str.casefold))),))


def _without_sources(block: Block) -> Block:
    return replace(block, sources=())
