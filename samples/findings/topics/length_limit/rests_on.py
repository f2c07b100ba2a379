"""What an answer rests on in words, each with its source; what is missing, and what contradicts."""

from typing import TypeAlias

import numpy as np

from samples.findings.page_model import PERCENT, Cell, Joined, Sentence, Text
from samples.findings.topics.fishing_inputs import CannotJudge
from samples.findings.topics.length_limit.inputs import (
    Contradiction,
    FreeBy,
    ReleaseBy,
    WeightsBy,
    taken_of,
)
from samples.findings.topics.length_limit.stock import KeptShorter, Known
from samples.findings.topics.length_limit.table_cells import range_cell, share_cell
from samples.findings.topics.query import TopicQuery
from samples.science.errors import CannotEstimate

# What an answer rests on: what it is, its figure, and where that comes from.
Input: TypeAlias = tuple[str, Cell, str]
OF_BORN = (
    "these fish, and F: anglers take the fast growers first, and the fish that are left are the "
    "slower ones (Taylor, Walters & Martell 2005)"
)
OF_LEFT = "these fish alone: too few ages for what anglers leave of the fast growers"
FREE_BY = {
    FreeBy.CHOSEN: "entered above",
    FreeBy.QUALITY: "default: quality length (Gabelhouse 1984)",
    FreeBy.SHARE_OF_RULE: "default: four fifths of the limit in force",
}
MISSING = {
    "few_aged": "a verdict wants {wanted} aged fish, and here are {aged}. Age {more} more, small "
    "ones from trap nets among them.",
    "few_in_curve": "only {in_curve} of its aged fish are old enough or from nets, so that the "
    "curve may stand on them. Age more fish from trap nets.",
    "no_kept_length": "it is not known from which length anglers keep fish. Log twenty fish that "
    "anglers kept, or enter the smallest size kept of a creel survey.",
    "no_fishing": "it is not known how many are taken. Put out tags and enter their returns, or "
    "age enough fish for a death rate.",
}
# A share of contradicting draws, and a distance from a creel survey, that deserve a word.
WORTH_SAYING = 0.01
FAR_MM = 13.0


def refusal(problem: CannotEstimate | CannotJudge) -> Sentence:
    """Return why an arm cannot be judged, and what to do about it."""
    if isinstance(problem, CannotEstimate):
        why = f"{problem.sentence[:1].lower()}{problem.sentence[1:]}"
        return Sentence(problem.code, why)
    counts = problem.counts
    more = counts.get("wanted", 0) - counts.get("aged", 0)
    return Sentence(problem.code, MISSING[problem.code].format(more=more, **counts))


def inputs_of(query: TopicQuery, known: Known) -> list[Input]:
    """Return every figure that an arm's answer rests on."""
    used = f"{known.aged} aged, {known.grown.sample.n} of them in the curve"
    return [
        ("Growth", Text(used), OF_BORN if known.counts_taken else OF_LEFT),
        _kept_from(query, known),
        *_free(query, known),
        _natural(known),
        _fishing(known),
        _release(known),
        _weights(known),
    ]


def _kept_from(query: TopicQuery, known: Known) -> Input:
    what, kept = "Anglers keep fish from", query.length_cell(known.kept_from_mm)
    if known.kept_from.creel is not None:
        return what, kept, known.kept_from.creel.source
    remark = Text("19 of 20 kept fish are longer")
    return what, Joined("{}: {}", (("", kept), ("remark", remark))), "fish that anglers kept"


def _free(query: TopicQuery, known: Known) -> list[Input]:
    free = known.free
    if free.by is None:
        return []
    what = "Without the limit, anglers would keep fish from"
    return [(what, query.length_cell(free.mm), FREE_BY[free.by])]


def _natural(known: Known) -> Input:
    what, entered = "Natural mortality per year", known.entered.natural
    if entered is None:
        drawn = -np.expm1(-known.drawn_m)
        source = "rule of thumb from growth (Then et al. 2015): nothing was entered"
        return what, share_cell(drawn, PERCENT), source
    return what, range_cell(entered.least, entered.middle, entered.most), entered.source


def _fishing(known: Known) -> Input:
    source = "total less natural mortality, F = Z - M"
    if known.entered.tags:
        source = f"tag returns of {', '.join(one.season for one in known.entered.tags)}"
    return "Harvested per year", share_cell(taken_of(known.deaths), PERCENT), source


def _release(known: Known) -> Input:
    found = known.release
    cell = range_cell(found.least, found.middle, found.most)
    source = "default: nothing was entered"
    if found.row is not None:
        when = f"{found.row.when}: " if found.row.when else ""
        why = {
            ReleaseBy.SEASON: f" (most fish are caught in {found.season})",
            ReleaseBy.HARSHEST: " (the highest entered: none names the season when most fish are "
            "caught)",
        }.get(found.by, "")
        source = f"{when}{found.row.source}{why}"
    return "Hooking mortality of released fish", cell, source


def _weights(known: Known) -> Input:
    what, found = "Weight at length", known.weights
    if found.by is WeightsBy.FISH:
        return what, Text(f"{found.n} weighed fish"), "these fish"
    if found.by is WeightsBy.CUBE:
        return what, Text("cube of the length"), "there is no standard weight for it here"
    if found.by is WeightsBy.STANDARD:
        words = "standard weight (Blackwell, Brown & Willis 2000)"
        return what, Text(words), "no fish were weighed"
    words = f"standard weight times mean Wr of {found.n} fish, {found.mean_wr:.0f}"
    return what, Text(words), "these fish"


def all_release(known: Known) -> str:
    """Write every release death that was entered."""
    rows = known.entered.release
    if not rows:
        return "none; the default is 10% (5-15)"
    return "; ".join(
        f"{100 * one.middle:.0f}% do ({one.when or one.source})" for one in reversed(rows)
    )


def withheld_text(query: TopicQuery, withheld: Contradiction | KeptShorter, mm: float) -> Sentence:
    """Return why a verdict is not given although the draws agree."""
    if isinstance(withheld, Contradiction):
        return _contradiction(withheld)
    return Sentence(
        "kept_shorter",
        f"{100 * withheld.share:.0f} of 100 fish that anglers keep are shorter than "
        f"{query.with_unit(mm)}, so the limit may change more than the model says.",
    )


def _contradiction(found: Contradiction) -> Sentence:
    return Sentence(
        "tags_disagree",
        f"F is {found.by_total:.2f} by Z - M and {found.by_tags:.2f} by tags. They disagree. No "
        "harvest verdict is given until they agree.",
    )


def warnings_of(query: TopicQuery, known: Known) -> list[Sentence]:
    """Return where figures contradict each other, or the fish."""
    said: list[Sentence] = []
    creel, kept_from_mm = known.entered.creel, known.kept_from_mm
    if creel and creel.smallest_kept_mm and abs(creel.smallest_kept_mm - kept_from_mm) > FAR_MM:
        said.append(
            Sentence(
                "creel_disagrees",
                f"A creel survey gives {query.with_unit(creel.smallest_kept_mm)} as the smallest "
                f"size kept; the fish that anglers kept give {query.with_unit(kept_from_mm)}, "
                "which is used.",
            )
        )
    if known.deaths.contradicting >= WORTH_SAYING:
        said.append(
            Sentence(
                "draws_contradict",
                f"In {100 * known.deaths.contradicting:.0f}% of the draws the inputs contradict "
                "each other (M above Z, or more harvested than alive). They are excluded. Check "
                "the inputs under Rates.",
            )
        )
    if known.totals_apart is not None:
        (least, most), (low, high) = known.totals_apart.of_inputs, known.totals_apart.of_fish
        said.append(
            Sentence(
                "deaths_disagree",
                f"Total mortality from the inputs (Z {least:.2f} to {most:.2f}) and from the "
                f"ages of the fish (Z {low:.2f} to {high:.2f}) differ. Harvested fish, uneven "
                "year classes or an input from another arm may be the reason.",
            )
        )
    return [*said, *([_contradiction(known.contradiction)] if known.contradiction else [])]
