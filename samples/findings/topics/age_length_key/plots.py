"""What an age-length key says, group by group: in a sentence, at the head of panels, drawn."""

import numpy as np

from samples.findings.page_model import Panel, Plot, Series
from samples.findings.topics.age_length_key.analyse import FEWEST_TO_TELL, GroupAges
from samples.findings.topics.ages import ages_text
from samples.findings.topics.headline import in_group
from samples.findings.topics.query import TopicQuery, fish
from samples.rules.and_text import and_text
from samples.science.age_length_key import AgeLengthKey


def finding(found: GroupAges) -> str:
    """Return which age is the commonest, where one clearly is."""
    of = f"{found.name}: of {fish(found.structure.measured)} measured"
    if found.aged < FEWEST_TO_TELL:
        return f"{of}, too few are aged to say of which age most are: {found.aged}."
    one = found.commonest
    share, ends = _percent(one.share), f"{100 * one.lower:.0f} to {100 * one.upper:.0f}%"
    if not one.is_clear:
        return (
            f"{of}, no age is clearly the commonest; of age {one.age} are about {share} ({ends})."
        )
    return f"{of}, most are of age {one.age}: about {share} ({ends})."


def _percent(share: float) -> str:
    return f"{100 * share:.0f}%"


def answer_of(query: TopicQuery, found: list[GroupAges]) -> str:
    """Return where one age is clearly the commonest."""
    of_age: dict[int, list[str]] = {}
    for one in found:
        if one.aged >= FEWEST_TO_TELL and one.commonest.is_clear:
            of_age.setdefault(one.commonest.age, []).append(one.name)
    if not of_age:
        return "No age is clearly the most common"
    said = [
        f"{age} {and_text([in_group(query, name) for name in names])}"
        for age, names in sorted(of_age.items())
    ]
    return f"Most common age: {'; '.join(said)}"


def structure_plot(query: TopicQuery, found: list[GroupAges]) -> Plot:
    panels = []
    for one in found:
        structure, most = one.structure, one.commonest
        lower, upper = one.drawn.interval()
        panels.append(
            Panel(
                one.name,
                [
                    Series(
                        "bars",
                        [float(age) for age in structure.ages],
                        [100 * float(share) for share in structure.shares],
                        lower=[100 * float(end) for end in lower],
                        upper=[100 * float(end) for end in upper],
                        name="share of the measured fish",
                    )
                ],
                note=f"{structure.measured:,} measured",
                answer=f"age {most.age}: {_percent(most.share)}",
                interval=f"({100 * most.lower:.0f}-{100 * most.upper:.0f})",
                says=finding(one),
            )
        )
    return Plot(
        name="Ages of the measured fish",
        panels=panels,
        x_label="Age, years",
        y_label="Share of the measured fish, %",
        alt="Share of each age among the measured fish, one panel a group; the table has every "
        "figure.",
        caption="Share of each age among the measured fish, by the key of their length bins. "
        f"{ages_text(query.sample)} Lines: 95% CI by resampling trips, then their fish, aged and "
        "measured alike.",
        whole_x=True,
    )


def ages_of(key: AgeLengthKey) -> str:
    """Write the youngest and the oldest age of a key."""
    there = key.ages[(key.shares * key.known[:, None]).sum(axis=0) > 0]
    return f"{there.min()} to {there.max()}" if there.size else "unknown"


def key_plot(query: TopicQuery, found: list[GroupAges]) -> Plot:
    """Show every key as discs: as large as the share of an age among the fish of a length."""
    panels = []
    for one in found:
        name, key = one.name, one.key
        bins, ages = np.nonzero(key.shares * key.known[:, None])
        disc = Series(
            "discs",
            [query.in_unit(float(edge) + query.bin_mm / 2) for edge in key.lower_edges[bins]],
            [float(age) for age in key.ages[ages]],
            size=[float(share) for share in key.shares[bins, ages]],
            name="share of the bin",
        )
        aged, bins_aged = one.aged, int(np.count_nonzero(key.known))
        says = f"{name}: {aged} aged fish in {bins_aged} length bins, of ages {ages_of(key)}."
        panels.append(Panel(name, [disc], note=f"n = {aged}", says=says))
    return Plot(
        name="Age-length key",
        panels=panels,
        x_label=f"Total length, {query.unit_name}",
        y_label="Age, years",
        alt="Ages of the aged fish of each length bin; the tables have every share.",
        caption="Ages of the aged fish of each length bin: the larger the disc, the larger the "
        "share of its bin. One disc alone above a length is a bin of one age.",
        whole_y=True,
    )
