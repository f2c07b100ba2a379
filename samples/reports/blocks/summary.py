"""The summary: the limit, growth and sampling first, then what else was found."""

from collections.abc import Sequence
from dataclasses import replace

from samples.models import ReportBlock
from samples.reports.blocks.made import Made, begin_block
from samples.reports.document import Block, BlockKind, Passage

MAIN, OTHERS = "Main answers", "Other findings"
NO_ANSWERS = "No other block of this report has an answer yet, so there is nothing to sum up."
# Both of them count fish for the last of the main answers.
SAMPLING = (BlockKind.SOURCES, BlockKind.COVERAGE)


def summary_block(made: Made, row: ReportBlock, number: int, said: Sequence[Block]) -> Block:
    """Say the main answers, then those of the other blocks in their order."""
    block = begin_block(made, row, number, "Summary")
    main, others = _main_answers(made, said), _other_answers(made, said)
    if not main and not others and not block.own_words:
        return replace(block, missing=NO_ANSWERS)
    parts = (
        Passage(MAIN, main, bulleted=True),
        Passage(OTHERS if main else "", others, bulleted=True),
    )
    return replace(block, parts=tuple(one for one in parts if one.paragraphs))


def _main_answers(made: Made, said: Sequence[Block]) -> tuple[str, ...]:
    """Return the answers that a chief asks for, each with the sentence that leads its page."""
    found = [
        (one.question.topic.place_in_summary, one.question.topic.title, one.page)
        for one in made.findings
        if one.question.topic.place_in_summary
    ]
    ranked = sorted(found, key=lambda one: one[0])
    answers = [
        f"{title}: {' '.join([_sentence(page.answer), *map(str, page.lead[:1])])}"
        for _, title, page in ranked
        if page.answer
    ]
    counts = [
        _sentence(one.answer)
        for kind in SAMPLING
        for one in said
        if one.kind is kind and one.answer
    ]
    return (*answers, *([f"Sampling: {' '.join(counts)}"] if counts else []))


def _other_answers(made: Made, said: Sequence[Block]) -> tuple[str, ...]:
    """Return the other answers; what is still needed is the answer of the coverage once more."""
    main = {one.question.topic.slug for one in made.findings if one.question.topic.place_in_summary}
    counted = {one.answer for one in said if one.kind in SAMPLING}
    return tuple(
        f"{one.heading}: {_sentence(one.answer)}"
        for one in said
        if one.answer
        and one.topic not in main
        and one.kind not in SAMPLING
        and one.answer not in counted
    )


def _sentence(answer: str) -> str:
    return f"{answer.rstrip('.')}."
