"""The page: words first, figures second, what it rests on third."""

from dataclasses import replace

from samples.findings.page_model import Column, Page, Sentence, Table, Text
from samples.findings.topics.ages import whole_years_warning
from samples.findings.topics.length_limit import others, plots, tables
from samples.findings.topics.length_limit.analyse import ArmLimits, analyse
from samples.findings.topics.length_limit.answers import headline, verdicts
from samples.findings.topics.length_limit.calibration import FOUND, calibration
from samples.findings.topics.length_limit.rests_on import refusal, warnings_of
from samples.findings.topics.length_limit.sentences import (
    is_answer,
    overall,
    release_told,
    sentence,
    to_settle,
)
from samples.findings.topics.length_limit.stock import ArmVerdict, Known
from samples.findings.topics.query import TopicQuery
from samples.science.length_limit.verdict import Lines, Verdict
from samples.units import LengthUnit

ASSUMED = [
    (
        "Steady state: each year brings about as many young fish, and growth and death stay as "
        "they are. A strong or missing year class violates that."
    ),
    (
        "Donated fish are not a random sample of the lake: anglers keep larger fish, and guides "
        "fish where fish are."
    ),
    (
        "Natural mortality (M) comes from the literature or a rule of thumb, not from these "
        "fish. It matters most where F and M are similar."
    ),
    (
        "Hooking mortality is as entered. It is much higher for fish from deep water and in "
        "summer. A limit may also change where anglers fish."
    ),
    (
        "Where limits were tried elsewhere, outcomes went both ways: some fisheries gained, some "
        "only filled up with fish just under the limit."
    ),
    "This is advice to a licensed manager. The agency sets the regulation.",
]

MOST_ARMS_ON_PAGE = 2


def build(query: TopicQuery) -> Page:
    """Return for each arm what keeps its fish from the limit, and whether a limit would help."""
    main = query.with_unit(query.choice.limit.limits_mm[0])
    title = f"{query.species}: would a minimum length limit of {main} help?"
    limits = analyse(
        query.study,
        query.sample,
        query.stocks(),
        limit=query.choice.limit,
        entered=query.loaded.entered,
        step_mm=12.7 if query.unit is LengthUnit.INCH else 10.0,
    )
    arms, judged = limits.arms, limits.judged.arms
    found: tables.Answers = [(one.known, one.verdicts) for one in judged]
    refused = {name: refusal(problem) for name, problem in limits.judged.refused.items()}
    cannot = [why.reworded(f"cannot tell, {why}").of(name) for name, why in refused.items()]
    if not found:
        return Page(
            title,
            refused=_why_none(cannot),
            warnings=whole_years_warning(query.sample),
            left_out=cannot if len(cannot) > 1 else [],
            cautions=[*ASSUMED, *query.cautions()],
        )
    firsts = [(known, of_limits[0]) for known, of_limits in found]
    return Page(
        title=title,
        answer=headline(query, found, list(refused)),
        verdicts=verdicts(query, found, refused),
        summary=[
            overall(query, firsts, main, list(refused), under_heading=True),
            *[sentence(query, known, one) for known, one in firsts],
            *[words for arm in arms for words in others.removed_text(query, arm)],
            *_release(firsts),
            *cannot,
            *_open(query, firsts),
        ],
        methods=[how_sure(query)],
        warnings=[
            *whole_years_warning(query.sample),
            *query.pooled(),
            *[one.of(known.name) for known, _ in found for one in warnings_of(query, known)],
        ],
        plots=[
            plots.growth(query, judged),
            plots.fates(query, judged),
            plots.harvest(query, arms),
        ],
        tables=_tables(query, found, arms),
        left_out=query.left_out,
        cautions=[*ASSUMED, *query.cautions()],
        for_public=any(is_answer(one) for _, one in firsts),
    )


def _why_none(cannot: list[Sentence]) -> Sentence:
    """Return why no arm can be judged; of one arm, its own reason."""
    if len(cannot) == 1:
        return cannot[0]
    if cannot:
        return Sentence("few_aged", "Not enough aged fish in any arm yet.")
    return Sentence("no_fish", "No fish in this choice yet.")


def how_sure(query: TopicQuery) -> str:
    """Return how often such answers are right, and that the rules were changed where they were."""
    told = []
    for words, name in (("with tags", "tags were put out"), ("without tags", "no tags")):
        lakes, right, open_, _ = FOUND[name]
        told.append(f"{words} in {right} of {lakes - open_}")
    changed = "" if query.choice.limit.lines == Lines() else " The rules were changed by hand here."
    return (
        "The probability holds if the inputs are right. On simulated lakes "
        f"the main cause was named correctly {', '.join(told)} times.{changed}"
    )


def _release(firsts: list[tuple[Known, ArmVerdict]]) -> list[str]:
    """Return how much of a limit's help release death would undo."""
    return [
        release_told(known, one.harvest.undone_by)
        for known, one in firsts
        if one.verdict is Verdict.HARVEST and one.harvest
    ]


def _open(query: TopicQuery, firsts: list[tuple[Known, ArmVerdict]]) -> list[str]:
    return [
        to_settle(query, known, one)
        for known, one in firsts
        if one.verdict is Verdict.CANNOT_TELL and not one.lowers and not one.withheld
    ]


def _tables(query: TopicQuery, found: tables.Answers, arms: list[ArmLimits]) -> list[Table]:
    of_methods = [
        tables.elasticities(query, found),
        *[tables.scenarios(query, arm) for arm in arms],
    ]
    # More arms than this have the tables of the methods in files, or the page grows heavy.
    if len(found) > MOST_ARMS_ON_PAGE:
        of_methods = [replace(one, folded=False, in_file_only=True) for one in of_methods]
    return [
        tables.verdicts(query, found),
        tables.harvests(query, found),
        plots.by_limit(query, arms),
        others.others(query, arms),
        *of_methods,
        tables.rests_on(query, found),
        tables.curve_values(query, found),
        rules(query),
        calibration(),
        *[tables.surface(query, arm) for arm in arms],
    ]


def rules(query: TopicQuery) -> Table:
    """State the rules by which a verdict is given; they are changed under Fish included."""
    lines = query.choice.limit.lines
    rows = [
        [
            "little effect",
            (
                "weight harvested, number harvested and fish over the preferred length all change "
                f"by {100 * lines.little_change:.0f}% at most"
            ),
            "default, no source",
        ],
        [
            "growth",
            (
                f"else the average fish needs more than {lines.long_years:.1f} years from the kept "
                f"length to the limit, or fewer than {100 * lines.few_reach:.0f}% ever reach it"
            ),
            "default, no source",
        ],
        [
            "natural mortality, harvest",
            "else whichever, a quarter smaller, would let more fish reach the limit",
            "the same change of both",
        ],
        [
            "cannot tell",
            (
                f"fewer than {100 * lines.agree:.0f} of 100 draws agree, or fewer than "
                f"{query.choice.limit.fewest_aged} fish are aged"
            ),
            "default, no source; intervals of few fish are too narrow",
        ],
        [
            "adds to it",
            (
                f"fewer than {100 * lines.few_live:.0f}% survive to the limit; more than "
                f"{100 * lines.many_taken:.0f}% harvested first; growth as above"
            ),
            "default, no source",
        ],
    ]
    return Table(
        name="rules",
        caption="The rules of the verdict",
        columns=[Column("Verdict"), Column("Is said where"), Column("Why there")],
        rows=[[Text(words) for words in row] for row in rows],
        note="Change them under Fish included, to see how much the answer depends on them.",
        folded=True,
    )
