"""Measured-only fish by arm and method against the lengths of aged fish."""

import numpy as np

from samples.findings.page_model import (
    Cell,
    Column,
    Count,
    Missing,
    Number,
    Page,
    Panel,
    Plot,
    PValue,
    Sentence,
    Series,
    Table,
    Text,
)
from samples.findings.queries.choice import TOGETHER
from samples.findings.sample import Floats
from samples.findings.topics.account import Account
from samples.findings.topics.length_samples.analyse import (
    LengthSample,
    analyse,
    count_excluded,
    selectivity_of,
)
from samples.findings.topics.query import TopicQuery
from samples.models import Method
from samples.science.length_samples import FEWEST

MOST_PANELS = 12
ALL_ARMS = "All arms"
# What donated fish do to each analysis, and what to do about it: Bettoli & Miranda (2001), Quinn &
# Deriso (1999), Taylor, Walters & Martell (2005) and common practice.
BIASES = (
    (
        "Age-length key",
        "Holds within a length bin, if fish of a bin are chosen without regard to age.",
        "Expand the key with net or creel lengths, never with the donated lengths.",
    ),
    (
        "Age structure",
        "Describes the harvest. Young ages are too few.",
        "Measure every fish of some net sets or interviews.",
    ),
    (
        "Length at age",
        "Too long at young ages: only the fast growers are long enough to keep.",
        "Add age-0 to age-2 fish from nets.",
    ),
    (
        "Growth",
        "K is too low, and fish seem to reach a length too early.",
        "Add net fish below the length that anglers keep.",
    ),
    (
        "Mortality",
        "Describes the harvest from the age on at which all fish are kept.",
        "Start at the fully kept age; use nets for younger fish.",
    ),
    (
        "Year classes",
        "A class is seen only once its fish are long enough to keep.",
        "Judge young classes by nets.",
    ),
    ("Size structure", "PSD is near 100 in any lake.", "Use nets or electrofishing alone."),
    (
        "Net catch",
        "None: donated fish have no effort.",
        "Record every set with its net nights, empty ones too.",
    ),
)


def build(query: TopicQuery) -> Page:
    """Return how the lengths of measured-only fish differ from those of aged fish."""
    title = f"{query.species}: length samples, {query.choice.season_words}"
    sample, counted = query.sample, query.loaded.counted
    arms = _arms(query)
    found = analyse(sample, counted, list(arms), query.bin_mm)
    if not found or not sample.aged.any():
        return Page(title, refused=_why_refused(query, found), left_out=_left_out(query))
    told = [one for one in found if one.comparison is not None]
    return Page(
        title=title,
        answer=_answer(told),
        summary=[_lead(query, one, arms) for one in found],
        warnings=_warnings(query),
        plots=[_plot(query, found, arms)],
        tables=[_table(query, found, arms), _bias_table()],
        left_out=_left_out(query),
        cautions=[
            (
                "Fish of one trip or set are alike, so p is too small. Go by the medians and the "
                "figure; a p just under 0.05 says little."
            ),
            (
                "Aged fish are often picked to fill length bins. Their lengths then have the shape "
                "of the targets, not of the lake: use measured-only fish for the lake."
            ),
            (
                "Every gear selects: trap nets miss the smallest fish, anglers the short ones, "
                "electrofishing the deep ones."
            ),
        ],
        methods=[
            (
                "Two-sample Kolmogorov-Smirnov test of the lengths of measured-only fish against "
                f"those of the arm's aged fish, with {FEWEST} or more of each. Where fish were "
                "counted by length bin, all are compared by the middle of their bin."
            ),
        ],
    )


def _why_refused(query: TopicQuery, found: list[LengthSample]) -> Sentence:
    if not query.sample.n and not found:
        return Sentence("no_fish", "No measured fish in this choice yet.")
    if not found:
        return Sentence(
            "no_measured_only",
            "No measured-only fish in this choice. Measure fish from nets or creel interviews "
            "without taking otoliths.",
        )
    return Sentence("no_aged_fish", "No aged fish in this choice yet.")


def _arms(query: TopicQuery) -> dict[int | None, str]:
    if query.choice.compare == TOGETHER:
        return {None: ALL_ARMS}
    chosen = query.choice.arms or tuple(query.options.arms)
    return {arm.pk: arm.name for arm in chosen}


def _name(one: LengthSample, arms: dict[int | None, str]) -> str:
    return f"{arms[one.arm]}, {str(Method(one.method).label).lower()}"


def _answer(told: list[LengthSample]) -> str:
    """Return in how many samples aged fish are longer than measured ones."""
    if not told:
        return ""
    longer = sum(one.differs and _shift(one) > 0 for one in told)
    shorter = sum(one.differs and _shift(one) < 0 for one in told)
    of = f"{len(told)} length sample{'' if len(told) == 1 else 's'}"
    if longer:
        return f"Aged fish are longer than measured fish in {longer} of {of}"
    if shorter:
        return f"Aged fish are shorter than measured fish in {shorter} of {of}"
    return f"Aged fish differ in length from none of {of}"


def _shift(one: LengthSample) -> float:
    return one.comparison.shift_mm if one.comparison is not None else 0.0


def _lead(query: TopicQuery, one: LengthSample, arms: dict[int | None, str]) -> Sentence:
    name = _name(one, arms)
    n = f"n = {one.measured_mm.size:,} measured, {one.aged_mm.size:,} aged"
    if one.comparison is None:
        words = f"too few fish to compare ({n}; {FEWEST} of each are needed)."
        return Sentence("too_few_fish", words).of(name)
    medians = (
        f"median {query.with_unit(one.comparison.median_other_mm)} against "
        f"{query.with_unit(one.comparison.median_mm)} ({n})"
    )
    if not one.differs:
        return Sentence("no_difference", f"no difference shown, {medians}.").of(name)
    if abs(_shift(one)) < query.bin_mm / 10:
        return Sentence("other_shape", f"aged fish are spread otherwise, {medians}.").of(name)
    longer = "longer" if _shift(one) > 0 else "shorter"
    return Sentence(f"aged_{longer}", f"aged fish are {longer}, {medians}.").of(name)


def _warnings(query: TopicQuery) -> list[Sentence]:
    found = selectivity_of(query.sample, query.loaded.counted)
    if found is None:
        return []
    return [
        Sentence(
            "donated_begin",
            f"Donated fish begin at {query.with_unit(found.from_mm)} (95% of {found.donated:,} "
            f"are longer). {100 * found.share_shorter:.0f}% of {found.net_fish:,} fish from nets "
            "and electrofishing are shorter: donated fish say nothing of those.",
        )
    ]


def _left_out(query: TopicQuery) -> list[Sentence]:
    account = Account("fish", query.sample.n)
    waiting, picked = count_excluded(query.sample)
    account.exclude("not_aged_yet", waiting, "fish have otoliths that are not aged yet.")
    account.exclude("picked_by_size", picked, "measured fish were picked by size.")
    counted = int(query.loaded.counted.fish.sum())
    more = (
        [Sentence("counted_by_length", f"{counted:,} more fish were counted by length bin.")]
        if counted
        else []
    )
    return [*account.sentences(), *more]


def _plot(query: TopicQuery, found: list[LengthSample], arms: dict[int | None, str]) -> Plot:
    largest = sorted(found, key=lambda one: -one.measured_mm.size)[:MOST_PANELS]
    every = np.concatenate([part for one in largest for part in (one.measured_mm, one.aged_mm)])
    width = query.bin_mm
    first, last = (int(end / width + 1e-9) for end in (every.min(), every.max()))
    middles = [query.in_unit((place + 0.5) * width) for place in range(first, last + 1)]

    def shares(lengths: Floats) -> list[float]:
        places = np.floor(lengths / width + 1e-9).astype(int) - first
        return list(100 * np.bincount(places, minlength=len(middles)) / lengths.size)

    panels = [
        Panel(
            _name(one, arms),
            [
                Series("bars", middles, shares(one.measured_mm), name="measured only"),
                *(
                    [Series("line", middles, shares(one.aged_mm), name="aged fish of the arm")]
                    if one.aged_mm.size
                    else []
                ),
            ],
            note=f"n = {one.measured_mm.size:,}",
            answer=query.with_unit(float(np.median(one.measured_mm))),
            interval=(
                f"(aged {query.with_unit(float(np.median(one.aged_mm)))})"
                if one.aged_mm.size
                else ""
            ),
            says=_lead(query, one, arms),
        )
        for one in found
        if one in largest
    ]
    return Plot(
        name="Measured-only fish and aged fish",
        panels=panels,
        x_label=f"Total length, {query.unit_name}",
        y_label="Share of the fish, %",
        alt="Length frequencies, one panel an arm and method; the table has every figure.",
        caption="Bars: share of measured-only fish of each length bin, one panel an arm and "
        "method. Line: the arm's aged fish. Above each: medians.",
    )


def _table(query: TopicQuery, found: list[LengthSample], arms: dict[int | None, str]) -> Table:
    return Table(
        name="length-samples",
        caption="Measured-only fish against aged fish",
        columns=[
            Column("Arm"),
            Column("Method"),
            Column("Measured", "Measured fish"),
            Column("Median measured"),
            Column("Aged", "Fish aged"),
            Column("Median aged"),
            Column("KS distance", unit="share"),
            Column("p"),
        ],
        rows=[_row(query, one, arms) for one in found],
        note="KS distance: largest difference between the shares of fish up to a length. p takes "
        "fish as independent; fish of one trip are alike, so it is too small.",
    )


def _row(query: TopicQuery, one: LengthSample, arms: dict[int | None, str]) -> list[Cell]:
    few = Missing("Too few fish.", "too few")
    aged = query.length_cell(float(np.median(one.aged_mm))) if one.aged_mm.size else few
    tested: list[Cell] = [few, few]
    if one.comparison is not None:
        tested = [Number(one.comparison.distance, 2), PValue(one.comparison.p)]
    return [
        Text(arms[one.arm]),
        Text(str(Method(one.method).label)),
        Count(int(one.measured_mm.size)),
        query.length_cell(float(np.median(one.measured_mm))),
        Count(int(one.aged_mm.size)),
        aged,
        *tested,
    ]


def _bias_table() -> Table:
    return Table(
        name="donated-fish",
        caption="What donated fish do to each analysis",
        columns=[Column("Analysis"), Column("Donated fish alone"), Column("What to do")],
        rows=[[Text(words) for words in row] for row in BIASES],
        note="Bettoli & Miranda (2001), N. Am. J. Fish. Manage. 21:425-428; Quinn & Deriso (1999); "
        "Taylor, Walters & Martell (2005); common practice.",
    )
