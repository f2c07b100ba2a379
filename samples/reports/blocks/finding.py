"""A finding as a block: the page's own answer, figures and tables, by the choice kept with it."""

from dataclasses import replace

from samples.findings.computed import (
    Question,
    find_finding,
    name_donors,
    parse_query,
    read_question,
)
from samples.findings.figures import thin, thinned_text
from samples.findings.page_model import Page, Panel, Plot, Series
from samples.findings.topics import TOPICS
from samples.models import ReportBlock
from samples.reports.blocks.made import Made, MadeFinding, begin_block
from samples.reports.blocks.tables import finding_table, verdict_table
from samples.reports.document import Block, Figure, Part, Passage, Table
from samples.reports.queries import GONE, NO_SUCH_TOPIC, chosen_fish


def finding_block(row: ReportBlock, number: int, made: Made) -> Block:
    """Make the block of a finding; where the data do not carry it, it says why."""
    topic = TOPICS.get(row.topic)
    if topic is None:
        return replace(begin_block(made, row, number, row.topic), missing=NO_SUCH_TOPIC)
    block = begin_block(made, row, number, topic.title)
    _, question = read_question(made.lake, topic, parse_query(row.query), today=made.today)
    if question is None:
        return replace(block, missing=GONE)
    page = name_donors(find_finding(question).page, named=False)
    block = replace(block, choice=choice_words(question))
    if page.refused:
        return replace(block, missing=page.refused)
    made.findings.append(MadeFinding(question, page))
    said = [*page.lead, *page.warnings]
    return replace(
        block,
        answer=page.answer.rstrip("."),
        paragraphs=tuple(map(str, said)),
        parts=tuple(_parts(page)),
        cautions=tuple(map(str, page.cautions)),
        excluded=tuple(map(str, page.left_out)),
        sources=topic.sources,
    )


def choice_words(question: Question) -> str:
    """Say which fish a finding is of, and how many they are."""
    return f"{chosen_fish(question)}, n = {question.count():,}"


def _parts(page: Page) -> list[Part]:
    """Return the verdicts first, then figures, then tables that the page shows at once or opens."""
    verdicts: list[Part] = [verdict_table(page.verdicts)] if page.verdicts else []
    figures: list[Part] = [_figure(plot) for plot in page.plots]
    in_full: list[Part] = []
    if page.by_group:
        in_full.append(Passage("", tuple(map(str, page.by_group)), bulleted=True))
    tables: list[Table] = [
        finding_table(one) for one in page.tables if not one.folded and not one.in_file_only
    ]
    if page.verdicts:
        # The first table of such a page is the verdicts once more.
        tables = [one for one in tables if one.columns[0].head != "" and one.rows]
    return [*verdicts, *figures, *in_full, *tables]


def _figure(plot: Plot) -> Figure:
    caption = f"{plot.caption} {thinned_text(plot).removesuffix(' The CSV has all.')}".strip()
    return Figure(0, caption, plot.alt, for_paper(plot))


def for_paper(plot: Plot) -> Plot:
    """Return a figure of as many points as are seen, whose dots lead nowhere."""
    shown = thin(plot)
    return replace(shown, panels=[_unlinked(panel) for panel in shown.panels], moves="")


def _unlinked(panel: Panel) -> Panel:
    series: list[Series] = [replace(one, keys=[]) for one in panel.series]
    return replace(panel, series=series)
