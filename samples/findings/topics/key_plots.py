"""What an age-length key says, group by group: in a sentence, at the head of panels, drawn."""

import numpy as np

from samples.findings.page_model import Panel, Plot, Series
from samples.findings.queries import Sample
from samples.findings.topics.ages import ages_text
from samples.findings.topics.headline import and_text, in_group
from samples.findings.topics.query import TopicQuery, fish
from samples.science.age_length_key import AgeLengthKey, AgeStructure, ResampledStructure

FEWEST_TO_TELL = 10

Found = tuple[str, Sample, AgeLengthKey, AgeStructure, ResampledStructure]


def finding(
    name: str, key: AgeLengthKey, structure: AgeStructure, drawn: ResampledStructure
) -> str:
    """Return which age is the commonest, where one clearly is."""
    aged = int(key.aged.sum())
    of = f"{name}: of {fish(structure.measured)} measured"
    if aged < FEWEST_TO_TELL:
        return f"{of}, too few are aged to say of which age most are: {aged}."
    lower, upper = drawn.interval()
    most = int(np.argmax(structure.shares))
    share = f"{100 * structure.shares[most]:.0f}%"
    ends = f"{100 * lower[most]:.0f} to {100 * upper[most]:.0f}%"
    age = structure.ages[most]
    if lower[most] <= np.delete(structure.shares, most).max(initial=0.0):
        return f"{of}, no age is clearly the commonest; of age {age} are about {share} ({ends})."
    return f"{of}, most are of age {age}: about {share} ({ends})."


def _commonest(one: Found) -> tuple[int, bool, str, str]:
    """Return the age of the largest share, whether it is clearly that, the share and its ends."""
    _, _, key, structure, drawn = one
    lower, upper = drawn.interval()
    most = int(np.argmax(structure.shares))
    clear = int(key.aged.sum()) >= FEWEST_TO_TELL and bool(
        lower[most] > np.delete(structure.shares, most).max(initial=0.0)
    )
    share = f"{100 * structure.shares[most]:.0f}%"
    return (
        int(structure.ages[most]),
        clear,
        share,
        f"({100 * lower[most]:.0f}-{100 * upper[most]:.0f})",
    )


def answer_of(query: TopicQuery, found: list[Found]) -> str:
    """Return where one age is clearly the commonest."""
    of_age: dict[int, list[str]] = {}
    for one in found:
        age, clear, *_ = _commonest(one)
        if clear:
            of_age.setdefault(age, []).append(one[0])
    if not of_age:
        return "No age is clearly the most common"
    said = [
        f"{age} {and_text([in_group(query, name) for name in names])}"
        for age, names in sorted(of_age.items())
    ]
    return f"Most common age: {'; '.join(said)}"


def structure_plot(query: TopicQuery, found: list[Found]) -> Plot:
    panels = []
    for one in found:
        name, _, key, structure, drawn = one
        age, _, share, ends = _commonest(one)
        lower, upper = drawn.interval()
        panels.append(
            Panel(
                name,
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
                answer=f"age {age}: {share}",
                interval=ends,
                says=finding(name, key, structure, drawn),
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


def key_plot(query: TopicQuery, found: list[Found]) -> Plot:
    """Show every key as discs: as large as the share of an age among the fish of a length."""
    panels = []
    for name, _, key, *_ in found:
        bins, ages = np.nonzero(key.shares * key.known[:, None])
        disc = Series(
            "discs",
            [query.in_unit(float(edge) + query.bin_mm / 2) for edge in key.lower_edges[bins]],
            [float(age) for age in key.ages[ages]],
            size=[float(share) for share in key.shares[bins, ages]],
            name="share of the bin",
        )
        aged, bins_aged = int(key.aged.sum()), int(np.count_nonzero(key.known))
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
