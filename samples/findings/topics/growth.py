"""Growth curves side by side, their intervals, and whether groups share one."""

from dataclasses import dataclass

import numpy as np

from samples.findings.queries import KEPT_BY_ANGLERS, Sample
from samples.findings.shown import Mark, Page, Panel, Plot, Series, Table
from samples.findings.topics.asked import Asked, interval
from samples.science.errors import CannotEstimate
from samples.science.growth.compare import Comparison, Group, compare_curves
from samples.science.growth.fit import Fit, fit_curve
from samples.science.growth.resample import Draws, resample_curves
from samples.science.growth.told import (
    Spread,
    YearsTo,
    first_fully_kept,
    lengths_at,
    spread_about,
    years_to,
)

DRAWS = 2_000
POINTS = 60
# Anglers' fish show growth from the length below which a twentieth of what they keep lies.
KEPT_SHARE = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Grown:
    """One group's fish with a curve. ``cut`` is the first fully kept age, where young fish of
    anglers were left out below it."""

    name: str
    sample: Sample
    weights: np.ndarray
    fit: Fit
    draws: Draws
    spread: Spread
    cut: int | None
    kept_from_mm: float | None


def weights_of(asked: Asked, sample: Sample) -> np.ndarray:
    """Give each aged fish the measured fish of its bin over the aged ones: shape (aged,)."""
    bins = asked.bin_of(sample)
    measured = np.bincount(bins)
    own = bins[sample.aged]
    aged = np.bincount(own, minlength=measured.size)
    return np.asarray(measured[own] / aged[own], dtype=np.float64)


def kept_from(sample: Sample) -> float | None:
    """Give the length at which anglers begin to keep fish, mm: a twentieth of theirs is shorter."""
    of_anglers = np.array([method in KEPT_BY_ANGLERS for method in sample.method], dtype=bool)
    if np.count_nonzero(of_anglers) < 20:
        return None
    return float(np.quantile(sample.length_mm[of_anglers], KEPT_SHARE))


def grow(asked: Asked, name: str, sample: Sample) -> Grown:
    """Fit the curve of one group's aged fish.

    :raises CannotEstimate: where they carry none
    """
    usable = np.isfinite(sample.clock) & sample.aged
    weights = np.zeros(sample.n)
    weights[sample.aged] = weights_of(asked, sample)
    aged, weight = sample.where(usable), weights[usable]
    fit = fit_curve(aged.clock, aged.length_mm, weights=weight)
    spread = spread_about(fit.curve, aged.clock, aged.length_mm, weight)
    start = kept_from(sample)
    cut = _cut(aged, fit, spread, start)
    if cut is not None:
        of_anglers = np.array([method in KEPT_BY_ANGLERS for method in aged.method], dtype=bool)
        stays = ~(of_anglers & (aged.clock < cut))
        aged, weight = aged.where(stays), weight[stays]
        fit = fit_curve(aged.clock, aged.length_mm, weights=weight)
        spread = spread_about(fit.curve, aged.clock, aged.length_mm, weight)
    draws = resample_curves(
        aged.clock,
        aged.length_mm,
        rng=asked.rng,
        draws=DRAWS,
        parties=aged.party,
        weights=weight,
    )
    return Grown(name, aged, weight, fit, draws, spread, cut, start)


def _cut(aged: Sample, fit: Fit, spread: Spread, kept_from_mm: float | None) -> int | None:
    """Give the age below which anglers' fish are only the fast growers, where that matters."""
    of_anglers = np.array([method in KEPT_BY_ANGLERS for method in aged.method], dtype=bool)
    if kept_from_mm is None or not of_anglers.any():
        return None
    first = first_fully_kept(fit.curve, spread, kept_from_mm, oldest=int(aged.age.max()))
    if first is None or not (of_anglers & (aged.clock < first)).any():
        return None
    left = ~(of_anglers & (aged.clock < first))
    enough = np.unique(aged.age[left]).size >= 5 and np.count_nonzero(left) >= 20
    return first if enough else None


def topic(asked: Asked) -> Page:
    """Give a growth curve of each group and compare them."""
    title = f"{asked.species}: growth, {asked.choice.season_words}"
    grown, refused = [], []
    for name, sample in asked.groups():
        try:
            grown.append(grow(asked, name, sample))
        except CannotEstimate as problem:
            refused.append(f"{name}: {problem.sentence}")
    if not grown:
        return Page(
            title, refused=" ".join(refused) or "There are no aged fish of this choice yet."
        )
    return Page(
        title=title,
        says=_says(asked, grown),
        warnings=_warnings(asked, grown),
        plots=[_plot(asked, grown)],
        tables=[
            _lengths_table(asked, grown),
            _years_table(asked, grown),
            _values_table(asked, grown),
            *_comparison_tables(grown),
        ],
        left_out=[*refused, *asked.sample.left_out],
        cautions=[*_cuts(asked, grown), *asked.cautions()],
    )


def _aims(asked: Asked) -> list[float]:
    """Give the lengths that years are told to, mm: whole inches or fives of a centimetre."""
    step = 25.4 if asked.unit.value == "in" else 25.0
    longest = np.quantile(asked.sample.length_mm, 0.95)
    first = 8 * step
    return [first + step * place for place in range(5) if first + step * place <= longest * 1.1]


def _says(asked: Asked, grown: list[Grown]) -> list[str]:
    aims = _aims(asked)
    if not aims:
        return []
    aim = aims[min(2, len(aims) - 1)]
    said = []
    for one in grown:
        found = years_to(one.fit.curve, one.draws, aim)
        said.append(f"{one.name}: {_reaches(asked, found, aim)}")
    return said


def _reaches(asked: Asked, found: YearsTo, aim: float) -> str:
    length = asked.with_unit(aim)
    if found.years is None:
        return f"the middle fish does not come to {length} by this curve."
    low, high = found.interval.lower, found.interval.upper
    ends = interval(low, high) if high is not None else f"{low:.1f} or more, if ever"
    return f"the middle fish comes to {length} after {found.years:.1f} growing seasons ({ends})."


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
    return told


def _cuts(asked: Asked, grown: list[Grown]) -> list[str]:
    return [
        f"{one.name}: anglers keep fish from about {asked.with_unit(one.kept_from_mm)}. Their fish "
        f"below {one.cut} growing seasons are the fast growers of their age and are left out of "
        "the curve; fish from nets stay."
        for one in grown
        if one.cut is not None and one.kept_from_mm is not None
    ]


def _plot(asked: Asked, grown: list[Grown]) -> Plot:
    last = max(float(one.sample.clock.max()) for one in grown)
    # No curve is drawn where it has no length.
    times = {one.name: np.linspace(max(one.fit.curve.age_zero, 0), last, POINTS) for one in grown}
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
        x_label="Growing seasons",
        y_label=f"Total length, {asked.unit_words}",
        alt=f"Growth curves with their fish, {len(panels)} panels. {' '.join(_says(asked, grown))}",
        caption="Each dot is a fish; open it from here. Line: von Bertalanffy curve on the growth "
        "clock, which stands still in winter. Band: 95 % interval of the mean, by drawing parties "
        "anew, then fish. Dashed: the length at which anglers begin to keep fish. Thin: the "
        "others.",
        whole_x=True,
    )


def _lengths_table(asked: Asked, grown: list[Grown]) -> Table:
    rows = []
    for one in grown:
        ages = range(1, int(one.sample.age.max()) + 1)
        for row in lengths_at(one.fit.curve, one.draws, [float(age) for age in ages]):
            sd = float(one.spread.sd_at(row.mean))
            ends = interval(asked.in_unit(row.lower), asked.in_unit(row.upper))
            rows.append(
                [
                    one.name,
                    f"{row.time:.0f}",
                    asked.length(row.mean),
                    ends,
                    f"{asked.in_unit(sd):.1f}",
                ]
            )
    return Table(
        name="length-at-birthdays",
        caption=f"Length after whole growing seasons, {asked.unit_words}",
        heads=[asked.what, "Seasons", "Mean length", "95 % interval of the mean", "sd of fish"],
        rows=rows,
    )


def _years_table(asked: Asked, grown: list[Grown]) -> Table:
    rows = []
    for one in grown:
        for aim in _aims(asked):
            found = years_to(one.fit.curve, one.draws, aim)
            years = "never" if found.years is None else f"{found.years:.1f}"
            upper = found.interval.upper
            ends = (
                "–"
                if found.interval.lower is None
                else (
                    interval(found.interval.lower, upper)
                    if upper is not None
                    else f"{found.interval.lower:.1f} to never"
                )
            )
            rows.append([one.name, asked.with_unit(aim), years, ends, f"{100 * found.never:.0f}"])
    return Table(
        name="years-to-length",
        caption="Growing seasons to a length",
        heads=[asked.what, "Length", "Seasons", "95 % interval", "Never, % of draws"],
        rows=rows,
        note="Of the middle fish: half of the fish grow slower.",
    )


def _values_table(asked: Asked, grown: list[Grown]) -> Table:
    rows = []
    for one in grown:
        curve, se, draws = one.fit.curve, one.fit.se, one.draws
        low, high = draws.interval(draws.length_max_mm)
        whole = interval(asked.in_unit(low), asked.in_unit(high))
        rows += [
            [
                one.name,
                f"Linf, {asked.unit.value}",
                f"{asked.in_unit(curve.length_max_mm):.1f}",
                f"{asked.in_unit(se.length_max_mm):.1f}",
                whole,
            ],
            [
                one.name,
                "K, per season",
                f"{curve.rate:.3f}",
                f"{se.rate:.3f}",
                interval(*draws.interval(draws.rate), 3),
            ],
            [
                one.name,
                "t0, seasons",
                f"{curve.age_zero:.2f}",
                f"{se.age_zero:.2f}",
                interval(*draws.interval(draws.age_zero), 2),
            ],
        ]
    return Table(
        name="curve-values",
        caption="Values of the curves",
        heads=[asked.what, "Value", "Estimate", "se", "95 % interval by parties"],
        rows=rows,
        note="L = Linf (1 - exp(-K (t - t0))), by least squares weighted by measured over aged "
        "fish of each length bin.",
    )


def _comparison_tables(grown: list[Grown]) -> list[Table]:
    if len(grown) < 2:
        return []
    groups = [Group(one.name, one.sample.clock, one.sample.length_mm, one.weights) for one in grown]
    try:
        found = compare_curves(groups)
    except CannotEstimate:
        return []
    return [_comparison_table(found, [one.name for one in grown])]


SHARED = {
    "coincident": "one curve for all",
    "length_max": "one Linf",
    "rate": "one K",
    "age_zero": "one t0",
}


def _comparison_table(found: Comparison, names: list[str]) -> Table:
    rows = [
        [words, f"{found.tests[name].chi2:.1f}", str(found.tests[name].df), _p(found.tests[name].p)]
        for name, words in SHARED.items()
    ]
    return Table(
        name="do-they-differ",
        caption=f"Do {', '.join(names)} grow alike",
        heads=["If they had", "chi2", "df", "p"],
        rows=rows,
        note="Likelihood ratios against a curve for each (Kimura 1980). A small p: they do not "
        "share it. Fish of one party are alike, so p is somewhat too small.",
    )


def _p(p: float) -> str:
    return "< 0.001" if p < 0.001 else f"{p:.3f}"
