"""Tables of the answer: axes side by side, harvest under each limit, and what it rests on."""

from dataclasses import replace

import numpy as np

from samples.findings.page_model import Table
from samples.findings.topics.limit.calibration import held_text
from samples.findings.topics.limit.inputs import taken_of
from samples.findings.topics.limit.sentences import (
    LOWER,
    UPPER,
    change_text,
    mean_text,
    sure_of,
    verdict_text,
    years,
)
from samples.findings.topics.limit.stock import ArmVerdict, Known
from samples.findings.topics.query import TopicQuery, interval
from samples.science.length_limit.cases import change, crowded
from samples.science.length_limit.fish_lives import Floats, Lives, fishing_rate
from samples.science.length_limit.surface import quantiles, yield_surface

Answers = list[tuple[Known, list[ArmVerdict]]]
LOW_MIDDLE_HIGH = (0.1, 0.5, 0.9)
SURFACE_TAKEN = np.arange(0.0, 0.81, 0.05)


def verdicts(query: TopicQuery, answers: Answers) -> Table:
    """Set the arms side by side, each limit by its three axes and its verdict."""
    rows = []
    for known, of_limits in answers:
        for one in _ascending(of_limits):
            rows.append(
                [
                    known.name,
                    query.with_unit(one.limit_mm),
                    verdict_text(one),
                    sure_of(one),
                    *_axes_text(one),
                ]
            )
    return Table(
        name="verdicts",
        caption="Main cause by limit",
        heads=[
            query.what,
            "Limit",
            "Main cause",
            "Probability, %",
            "Years from the kept length",
            "Would reach the limit, %",
            "Survive to it, %",
            "Harvested first, %",
        ],
        rows=rows,
        note="Years: of the average fish, from the length that anglers keep now. Survive to it: of "
        "the fish that would reach the limit, with natural mortality alone. Harvested first: of "
        "those that would survive to it. Brackets: 95% CI.",
    )


def elasticities(query: TopicQuery, answers: Answers) -> Table:
    """Return what the same change of growth, natural death and harvest does to each limit."""
    rows = [
        [known.name, query.with_unit(one.limit_mm), *_elastic(one)]
        for known, of_limits in answers
        for one in _ascending(of_limits)
        if one.axes is not None
    ]
    return Table(
        name="elasticities",
        caption="How many more fish would reach the limit, %",
        heads=[
            query.what,
            "Limit",
            "If K were 25 % larger",
            "If M were 25 % smaller",
            "If F were 25 % smaller",
        ],
        rows=rows,
        note="Of the fish that reach the kept length. A change of K always weighs as much as the "
        "same change of M and F together, because the share that arrives is exp(-(F + M) years). "
        "So slow growth is told by the years and by the share that would ever reach the limit.",
        folded=True,
    )


def _elastic(answer: ArmVerdict) -> list[str]:
    found = answer.axes
    assert found is not None  # noqa: S101  # for the type checker
    return [
        change_text(one) for one in (found.if_faster, found.if_fewer_died, found.if_fewer_taken)
    ]


def _ascending(of_limits: list[ArmVerdict]) -> list[ArmVerdict]:
    return sorted(of_limits, key=lambda one: one.limit_mm)


def _axes_text(answer: ArmVerdict) -> list[str]:
    if answer.axes is None:
        there = "in force" if answer.in_force else "below the limit in force"
        known = answer.in_force or answer.lowers
        return [there if known else "let go already", "–", "–", "–"]
    found = answer.axes
    shares = (found.reach, found.survival, found.taken)
    return [years(found.years), *(_percent(one) for one in shares)]


def _percent(drawn: Floats) -> str:
    low, middle, high = 100 * np.quantile(drawn, (LOWER, 0.5, UPPER))
    return f"{middle:.0f} ({low:.0f} to {high:.0f})"


def harvests(query: TopicQuery, answers: Answers) -> Table:
    """Return what each limit would do to the harvest, against the present one."""
    rows = [row for known, found in answers for row in _harvest_rows(query, known, found)]
    return Table(
        name="harvest",
        caption="Harvest under each limit against now",
        heads=[
            query.what,
            "Limit",
            "Weight, %",
            "Number, %",
            "Kept now, put back then, %",
            "Mean length kept",
            "Fish over the preferred length, %",
            "Weight if fish stayed a tenth shorter, %",
            "Release death that undoes it",
        ],
        rows=rows,
        note="Per young fish of the lake, all years of its life together, so numbers of young "
        "fish are taken as steady. Change against the present rule with its 95 % interval. "
        "Preferred length: Gabelhouse (1984), caught, kept or let go. A tenth shorter: protected "
        "fish may crowd each other. The last column: from that share of released fish dying on, "
        "the limit costs harvest. Released fish die as in the season when most fish are caught, "
        f"unless another is chosen. {held_text()}",
    )


def _harvest_rows(query: TopicQuery, known: Known, found: list[ArmVerdict]) -> list[list[str]]:
    mean = mean_text(query, known.present.mean_length_mm)
    rows = [[known.name, "as now", "–", "–", "–", mean, "–", "–", "–"]]
    for one in _ascending(found):
        limit = query.with_unit(one.limit_mm)
        if one.harvest is None:
            rows.append([known.name, limit, *["–"] * 7])
            continue
        rule, plain = one.harvest.rule, one.harvest.against_now
        small = change(crowded(known.some), known.fishing, known.now, rule)
        rows.append(
            [
                known.name,
                limit,
                change_text(plain.weight),
                change_text(plain.number),
                _percent(one.harvest.given_up),
                mean_text(query, one.harvest.then.mean_length_mm),
                change_text(plain.preferred),
                change_text(small.weight),
                "–" if one.lowers else _undone(one.harvest.undone_by),
            ]
        )
    return rows


def _undone(share: float) -> str:
    return "none would" if share >= 1 else f"{100 * share:.0f} %"


def scenarios(query: TopicQuery, known: Known, found: list[ArmVerdict]) -> Table:
    """Return the change in weight at low, middle and high exploitation and natural death."""
    middle = _middle(known.lives)
    taken = np.quantile(taken_of(known.deaths), LOW_MIDDLE_HIGH)
    rates = np.quantile(known.deaths.natural, LOW_MIDDLE_HIGH)
    rows = []
    for one in _ascending(found):
        for natural in rates:
            lives = replace(middle, natural=np.array([natural]))
            cells = []
            for share in taken:
                rule = known.rule(one.limit_mm)
                fishing = fishing_rate(np.array([share]), natural)
                [changed] = 100 * change(lives, fishing, known.now, rule).weight
                cells.append(f"{round(changed) + 0:+d}" if round(changed) else "0")
            dying = f"{-100 * np.expm1(-natural):.0f} %"
            rows.append([query.with_unit(one.limit_mm), dying, *cells])
    return Table(
        name=f"scenarios-{known.name}",
        caption=f"{known.name}: change in weight harvested, %, if these were so",
        heads=[
            "Limit",
            "Die of natural causes in a year",
            *[f"{100 * share:.0f} % taken in a year" for share in taken],
        ],
        rows=rows,
        note="Low, middle and high: tenth, half and nine tenths of the draws. Growth at its "
        "middle; released fish die at the middle rate.",
        folded=True,
    )


def _middle(lives: Lives) -> Lives:
    return replace(
        lives,
        length_max_mm=_median(lives.length_max_mm),
        rate=_median(lives.rate),
        age_zero=_median(lives.age_zero),
        natural=_median(lives.natural),
    )


def _median(drawn: Floats) -> Floats:
    return np.array([np.median(drawn)])


def surface(query: TopicQuery, known: Known) -> Table:
    """Return weight per recruit at every limit and exploitation, over all draws: for a file."""
    limits = limits_of(query, known)
    natural = float(np.median(known.deaths.natural))
    fishing = np.concatenate([[0.0], fishing_rate(SURFACE_TAKEN[1:], natural)])
    found = quantiles(yield_surface(known.lives, limits, fishing), (LOWER, 0.5, UPPER))
    rows = [
        [
            query.length(float(limit)),
            f"{share:.2f}",
            *[f"{float(found[place, one, other]):.2f}" for place in (1, 0, 2)],
        ]
        for one, limit in enumerate(limits)
        for other, share in enumerate(SURFACE_TAKEN)
    ]
    return Table(
        name=f"surface-{known.name}",
        caption=f"{known.name}: weight per recruit at every limit and share taken",
        heads=[f"Kept from, {query.unit.value}", "Taken in a year", "Grams", "2.5 %", "97.5 %"],
        rows=rows,
        note=f"{len(limits)} lengths x {SURFACE_TAKEN.size} shares x {known.lives.draws:,} draws; "
        "released fish all live, and every fish is as long as the mean of its age. In the file "
        "alone.",
        in_file_only=True,
    )


def limits_of(query: TopicQuery, known: Known) -> Floats:
    """Return limits from the kept length on, in steps of half an inch or 10 mm."""
    step = 12.7 if query.unit.value == "in" else 10.0
    longest = max([*query.choice.limit.limits_mm, float(np.median(known.lives.length_max_mm))])
    first = step * np.ceil(known.kept_from_mm / step)
    return np.asarray(np.arange(first, max(longest, first) + 2 * step, step), dtype=np.float64)


def rests_on(query: TopicQuery, answers: Answers) -> Table:
    """List every figure that the answer rests on, with where it comes from."""
    rows = [
        [known.name, what, figure, source]
        for known, _ in answers
        for what, figure, source in known.rests_on
    ]
    return Table(
        name="rests-on",
        caption="What it rests on",
        heads=[query.what, "What", "Figure, with its range", "From"],
        rows=rows,
        note="Figures from elsewhere are entered with their source and day on the lake's page.",
        is_text=True,
    )


def curve_values(query: TopicQuery, answers: Answers) -> Table:
    """Return the growth that went in, with its interval."""
    rows = []
    for known, _ in answers:
        draws, curve = known.grown.draws, known.grown.curve
        low, high = draws.interval(draws.length_max_mm)
        rows.append(
            [
                known.name,
                query.with_unit(curve.length_max_mm),
                interval(query.in_unit(low), query.in_unit(high)),
                f"{curve.rate:.2f}",
                interval(*draws.interval(draws.rate), 2),
                f"{100 * known.lives.spread:.0f} %",
            ]
        )
    return Table(
        name="growth",
        caption="Growth that went in",
        heads=[query.what, "Linf", "95 % interval", "K", "95 % interval", "Spread at age"],
        rows=rows,
        folded=True,
    )
