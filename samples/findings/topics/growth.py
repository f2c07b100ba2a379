"""Growth curves side by side, their intervals, and whether groups share one."""

import numpy as np

from samples.findings.queries import KEPT_BY_ANGLERS
from samples.findings.shown import Mark, Page, Panel, Plot, Series
from samples.findings.topics import length_at_age
from samples.findings.topics.account import Account
from samples.findings.topics.ages import ages_words, whole_years_warning
from samples.findings.topics.asked import NO_AGED_FISH, Asked, interval
from samples.findings.topics.grown import Grown, aims_of, grow
from samples.findings.topics.growth_tables import (
    comparison_tables,
    lengths_table,
    values_table,
    years_table,
)
from samples.science.growth.told import YearsTo, lengths_at, years_to

POINTS = 60
# Where more of the measured fish are longer than any aged one, the curve levels off too soon.
LONGER_SHARE = 0.02


def topic(asked: Asked) -> Page:
    """Give a growth curve of each group and compare them."""
    title = f"{asked.species}: growth, {asked.choice.season_words}"
    grown, refused = asked.tried(lambda name, sample: grow(asked, name, sample))
    # What most answers rest on comes first, and stays where there is no curve.
    means = length_at_age.topic(asked)
    if not grown:
        words = " ".join(refused) or NO_AGED_FISH
        return Page(title, refused=words, plots=means.plots, tables=means.tables)
    return Page(
        title=title,
        says=_says(asked, grown),
        warnings=[*whole_years_warning(asked.sample), *asked.pooled(), *_warnings(asked, grown)],
        plots=[*means.plots, _plot(asked, grown)],
        tables=[
            *means.tables,
            lengths_table(asked, grown),
            years_table(asked, grown),
            values_table(asked, grown),
            *(comparison_tables(grown) if _comparable(grown) else []),
        ],
        left_out=[*refused, *_account(asked, grown).sentences(), *asked.left_out],
        cautions=[*_cuts(asked, grown), *_not_compared(grown), *asked.cautions()],
    )


def _account(asked: Asked, grown: list[Grown]) -> Account:
    sample = asked.sample
    account = Account("aged fish", int(np.count_nonzero(sample.aged)))
    curved = np.isin(sample.fish, np.concatenate([one.measured.fish for one in grown]))
    undated = sample.aged & ~np.isfinite(sample.clock)
    account.exclude(
        int(np.count_nonzero(undated & curved)),
        "aged fish without a catch date are not in the curve.",
    )
    account.exclude(
        sum(one.young_left_out for one in grown),
        "young fish kept by anglers are not in the curve: they are the fast growers of their age.",
    )
    account.exclude(
        int(np.count_nonzero(sample.aged & ~curved)), "aged fish belong to no curve shown here."
    )
    return account


def _comparable(grown: list[Grown]) -> bool:
    """Curves of fish that were picked in one way alone are compared."""
    return len({one.cut is None for one in grown}) == 1


def _not_compared(grown: list[Grown]) -> list[str]:
    if _comparable(grown):
        return []
    return [
        (
            "These curves are not compared by a test: of some, anglers' young fish had to be left "
            "out, of others not, so a difference might be that alone."
        )
    ]


def _says(asked: Asked, grown: list[Grown]) -> list[str]:
    aims = aims_of(asked)
    aim = aims[2]
    said = []
    for one in grown:
        found = years_to(one.fit.curve, one.draws, aim)
        said.append(f"{one.name}: {_reaches(asked, one, found, aim)}")
    return said


def _reaches(asked: Asked, one: Grown, found: YearsTo, aim: float) -> str:
    length = asked.with_unit(aim)
    if found.years is None:
        never = 100 * found.never
        return f"the average fish does not reach {length} ({never:.0f}% of draws)."
    if not one.told_from <= found.years <= one.told_to:
        return (
            f"no fish here is of the age at which the average fish reaches {length}: not estimated."
        )
    low, high = found.interval.lower, found.interval.upper
    ends = interval(low, high) if high is not None else f"{low:.1f} or more, if ever"
    if asked.sample.whole_years:
        return f"the average fish reaches {length} at age {found.years:.1f} ({ends})."
    return f"the average fish reaches {length} after {found.years:.1f} growing seasons ({ends})."


def _warnings(asked: Asked, grown: list[Grown]) -> list[str]:
    told = [
        f"{one.name}: {sentence}"
        for one in grown
        for _, sentence in (*one.fit.warnings, *one.draws.warnings)
    ]
    for one in grown:
        of_anglers = np.mean([method in KEPT_BY_ANGLERS for method in one.sample.method])
        if one.cut is None and one.kept_from_mm is not None and of_anglers > 0.8:
            told.append(
                f"{one.name}: nearly all fish were kept by anglers from "
                f"{asked.with_unit(one.kept_from_mm)} on. Below the age at which all fish are that "
                "long, this curve is that of the fast growers. Get net fish of the young ages."
            )
        longest = float(one.sample.length_mm.max())
        over = int(np.count_nonzero(one.measured.length_mm > longest))
        if over > LONGER_SHARE * one.measured.n:
            told.append(
                f"{one.name}: {over:,} measured fish are longer than the longest aged one, "
                f"{asked.with_unit(longest)}. The curve is not told by them: age some."
            )
    return told


def _cuts(asked: Asked, grown: list[Grown]) -> list[str]:
    return [
        f"{one.name}: anglers keep fish from about {asked.with_unit(one.kept_from_mm)}. Their fish "
        f"below {one.cut} growing seasons are the fast growers of their age and are left out of "
        "the curve; fish from nets stay."
        for one in grown
        if one.cut is not None and one.kept_from_mm is not None
    ]


def _clock(asked: Asked) -> str:
    whole = asked.sample.whole_years
    return "age in whole years" if whole else "the growth clock, which stands still in winter"


def _plot(asked: Asked, grown: list[Grown]) -> Plot:
    times = {one.name: np.linspace(one.told_from, one.told_to, POINTS) for one in grown}
    lines = {
        one.name: (
            [float(time) for time in times[one.name]],
            [asked.in_unit(float(x)) for x in one.fit.curve.length_at(times[one.name])],
        )
        for one in grown
    }
    panels = []
    for one in grown:
        rows = lengths_at(one.fit.curve, one.draws, times[one.name])
        others = [Series("soft", *line) for name, line in lines.items() if name != one.name]
        series = [
            *others,
            Series(
                "small",
                [float(x) for x in one.sample.clock],
                [asked.in_unit(float(x)) for x in one.sample.length_mm],
                name="fish",
                keys=[str(vial) for vial in one.sample.vial],
            ),
            Series(
                "band",
                *lines[one.name],
                lower=[max(asked.in_unit(row.lower), 0.0) for row in rows],
                upper=[max(asked.in_unit(row.upper), 0.0) for row in rows],
                name="95 % interval of the mean",
            ),
            Series("line", *lines[one.name], name="mean length"),
        ]
        marks = []
        if one.kept_from_mm is not None:
            marks = [Mark(asked.in_unit(one.kept_from_mm), "kept from here")]
        panels.append(Panel(one.name, series, marks, words=f"{one.sample.n} aged"))
    return Plot(
        name="Growth curves",
        panels=panels,
        x_label="Age, years" if asked.sample.whole_years else "Growing seasons",
        y_label=f"Total length, {asked.unit_words}",
        alt=f"Growth curves with their fish, {len(panels)} panels. {' '.join(_says(asked, grown))}",
        caption=f"Each dot is a fish; open it from here. {ages_words(asked.sample)} Line: von "
        f"Bertalanffy curve on {_clock(asked)}. Band: 95% CI of the mean, by resampling trips, "
        "then fish. Dashed: the length at which anglers begin to keep fish. Thin: the others.",
        whole_x=True,
    )
