"""Tables of the answer: axes side by side, harvest under each limit, and what it rests on."""

import numpy as np

from samples.findings.page_model import (
    Cell,
    Column,
    Length,
    Missing,
    Number,
    Share,
    Table,
    Text,
    in_words,
    interval,
)
from samples.findings.topics.length_limit.analyse import SURFACE_TAKEN, ArmLimits
from samples.findings.topics.length_limit.calibration import held_text
from samples.findings.topics.length_limit.others import OVER_PREFERRED
from samples.findings.topics.length_limit.rests_on import inputs_of
from samples.findings.topics.length_limit.sentences import verdict_text
from samples.findings.topics.length_limit.stock import ArmVerdict, Known
from samples.findings.topics.length_limit.table_cells import (
    change_cell,
    mean_cell,
    probability_cell,
    share_cell,
    years_cell,
)
from samples.findings.topics.query import TopicQuery

Answers = list[tuple[Known, list[ArmVerdict]]]
PER_RECRUIT = "Weight per recruit"
IF_SHORTER = "Change in weight if fish stayed 10% shorter"


def verdicts(query: TopicQuery, answers: Answers) -> Table:
    """Set the arms side by side, each limit by its three axes and its verdict."""
    rows = []
    for known, of_limits in answers:
        for one in _ascending(of_limits):
            rows.append(
                [
                    Text(known.name),
                    query.length_cell(one.limit_mm),
                    Text(verdict_text(one)),
                    probability_cell(one.judged),
                    *_axes_cells(one),
                ]
            )
    return Table(
        name="verdicts",
        caption="Main cause by limit",
        columns=[
            Column(query.what),
            Column("Limit"),
            Column("Main cause"),
            Column("Probability, %", "Probability", "%"),
            Column("Years from the kept length", "Time from the kept length", "years"),
            Column("Would reach the limit, %", "Would reach the limit", "%"),
            Column("Survive to the limit, %", "Survive to the limit", "%"),
            Column("Harvested first, %", "Harvested first", "%"),
        ],
        rows=rows,
        note="Years: of the average fish, from the length that anglers keep now. Survive to the "
        "limit: of the fish that would reach the limit, with natural mortality alone. "
        "Harvested first: of those that would survive to it. Brackets: 95% CI.",
    )


def elasticities(query: TopicQuery, answers: Answers) -> Table:
    """Return what the same change of growth, natural death and harvest does to each limit."""
    rows = [
        [Text(known.name), query.length_cell(one.limit_mm), *_elastic(one)]
        for known, of_limits in answers
        for one in _ascending(of_limits)
        if one.axes is not None
    ]
    return Table(
        name="elasticities",
        caption="How many more fish would reach the limit, %",
        columns=[
            Column(query.what),
            Column("Limit"),
            Column("If K were 25% larger", "Change if K were 25% larger", "%"),
            Column("If M were 25% smaller", "Change if M were 25% smaller", "%"),
            Column("If F were 25% smaller", "Change if F were 25% smaller", "%"),
        ],
        rows=rows,
        note="Of the fish that reach the kept length. A change of K always weighs as much as the "
        "same change of M and F together, because the share that arrives is exp(-(F + M) years). "
        "So slow growth is judged by the years and by the share that would ever reach the limit.",
        folded=True,
    )


def _elastic(answer: ArmVerdict) -> list[Cell]:
    found = answer.axes
    assert found is not None  # noqa: S101  # for the type checker
    return [
        change_cell(one) for one in (found.if_faster, found.if_fewer_died, found.if_fewer_taken)
    ]


def _ascending(of_limits: list[ArmVerdict]) -> list[ArmVerdict]:
    return sorted(of_limits, key=lambda one: one.limit_mm)


def _axes_cells(answer: ArmVerdict) -> list[Cell]:
    if answer.axes is None:
        there = "in force" if answer.in_force else "below the limit in force"
        known = answer.in_force or answer.lowers
        return [in_words(there if known else "released already"), *[Missing()] * 3]
    found = answer.axes
    shares = (found.reach, found.survival, found.taken)
    return [years_cell(found.years), *(share_cell(one) for one in shares)]


def harvests(query: TopicQuery, answers: Answers) -> Table:
    """Return what each limit would do to the harvest, against the present one."""
    rows = [row for known, found in answers for row in _harvest_rows(query, known, found)]
    return Table(
        name="harvest",
        caption="Harvest under each limit against now",
        columns=[
            Column(query.what),
            Column("Limit"),
            Column("Weight, %", "Change in weight", "%"),
            Column("Number, %", "Change in number", "%"),
            Column(
                "Kept now, released under the limit, %", "Kept now, released under the limit", "%"
            ),
            Column("Mean length kept"),
            Column("Fish over the preferred length, %", OVER_PREFERRED, "%"),
            Column("Weight if fish stayed 10% shorter, %", IF_SHORTER, "%"),
            Column("Hooking mortality that cancels the gain", unit="%"),
        ],
        rows=rows,
        note="Per young fish of the lake, all years of its life together, so numbers of young "
        "fish are taken as steady. Change against the present rule with its 95% interval. "
        "Preferred length: Gabelhouse (1984), caught, kept or let go. 10% shorter: protected "
        "fish may crowd each other. The last column: from that share of released fish dying on, "
        "the limit costs harvest. Released fish die as in the season when most fish are caught, "
        f"unless another is chosen. {held_text()}",
    )


def _harvest_rows(query: TopicQuery, known: Known, found: list[ArmVerdict]) -> list[list[Cell]]:
    mean = mean_cell(query, known.present.mean_length_mm)
    name, same = Text(known.name), Missing("the present rule")
    rows: list[list[Cell]] = [[name, in_words("as now"), *[same] * 3, mean, *[same] * 3]]
    for one in _ascending(found):
        limit = query.length_cell(one.limit_mm)
        if one.harvest is None:
            rows.append([name, limit, *[Missing("not estimated")] * 7])
            continue
        plain = one.harvest.against_now
        rows.append(
            [
                name,
                limit,
                change_cell(plain.weight),
                change_cell(plain.number),
                share_cell(one.harvest.given_up),
                mean_cell(query, one.harvest.then.mean_length_mm),
                change_cell(plain.preferred),
                change_cell(one.harvest.if_shorter.weight),
                Missing("a lower limit") if one.lowers else _undone(one.harvest.undone_by),
            ]
        )
    return rows


def _undone(share: float) -> Cell:
    return in_words("none would") if share >= 1 else Share(share, with_sign=True)


def scenarios(query: TopicQuery, arm: ArmLimits) -> Table:
    """Return the change in weight at low, middle and high exploitation and natural death."""
    known, found = arm.known, arm.scenarios
    rows: list[list[Cell]] = [
        [
            query.length_cell(one.limit_mm),
            Share(-float(np.expm1(-one.m)), with_sign=True),
            *[Number(changed, signed=bool(round(changed))) for changed in one.changes],
        ]
        for one in found.rows
    ]
    return Table(
        name=f"scenarios-{known.name}",
        caption=f"{known.name}: change in weight harvested, %, if these were so",
        columns=[
            Column("Limit"),
            Column("Natural mortality per year"),
            *[
                Column(
                    f"{100 * share:.0f}% harvested per year",
                    f"Change in weight at {level} exploitation, u {share:.3f}",
                    "%",
                )
                for level, share in zip(("low", "middle", "high"), found.u, strict=True)
            ],
        ],
        rows=rows,
        note="Low, middle and high: 10th, 50th and 90th percentile of the draws. Growth at its "
        "middle; hooking mortality at its best estimate.",
        folded=True,
    )


def surface(query: TopicQuery, arm: ArmLimits) -> Table:
    """Return weight per recruit at every limit and exploitation, over all draws: for a file."""
    known, limits, grams = arm.known, arm.surface.limits_mm, arm.surface.grams
    unit = query.unit
    rows = [
        [
            Length(float(limit), unit),
            Number(share, 2),
            *[Number(float(grams[place, one, other]), 2) for place in (1, 0, 2)],
        ]
        for one, limit in enumerate(limits)
        for other, share in enumerate(SURFACE_TAKEN)
    ]
    return Table(
        name=f"surface-{known.name}",
        caption=f"{known.name}: weight per recruit at every limit and share taken",
        columns=[
            Column(f"Kept from, {unit.value}", "Kept from", unit.value),
            Column("Harvested per year", "Share harvested per year", "of 1"),
            Column("Grams", PER_RECRUIT, "g"),
            Column("2.5%", f"{PER_RECRUIT} low", "g"),
            Column("97.5%", f"{PER_RECRUIT} high", "g"),
        ],
        rows=rows,
        note=f"{len(limits)} lengths x {SURFACE_TAKEN.size} shares x {known.lives.draws:,} draws; "
        "released fish all live, and every fish is as long as the mean of its age. In the file "
        "only.",
        in_file_only=True,
    )


def rests_on(query: TopicQuery, answers: Answers) -> Table:
    """List every figure that the answer rests on, with where it comes from."""
    rows = [
        [Text(known.name), Text(what), figure, Text(source)]
        for known, _ in answers
        for what, figure, source in inputs_of(query, known)
    ]
    return Table(
        name="rests-on",
        caption="Inputs",
        columns=[
            Column(query.what),
            Column("What"),
            Column("Figure, with its range", "Figure"),
            Column("From"),
        ],
        rows=rows,
        note="Inputs are under Rates with their source and date.",
    )


def curve_values(query: TopicQuery, answers: Answers) -> Table:
    """Return the growth that went in, with its interval."""
    rows = []
    for known, _ in answers:
        draws, curve = known.grown.draws, known.grown.curve
        low, high = draws.interval(draws.linf_mm)
        rows.append(
            [
                Text(known.name),
                query.length_cell(curve.linf_mm),
                interval(query.in_unit(low), query.in_unit(high)),
                Number(curve.k, 2),
                interval(*draws.interval(draws.k), 2),
                Share(known.lives.cv, with_sign=True),
            ]
        )
    return Table(
        name="growth",
        caption="Growth used",
        columns=[
            Column(query.what),
            Column("Linf", unit=query.unit.value),
            Column("95% interval", "Linf", query.unit.value),
            Column("K", unit="per season"),
            Column("95% interval", "K", "per season"),
            Column("Spread at age"),
        ],
        rows=rows,
        folded=True,
    )
