"""Growth curves side by side over the seasons, their intervals, and how groups differ."""

import numpy as np

from samples.findings.page_model import Mark, Page, Panel, Plot, Sentence, Series, joined
from samples.findings.sample import KEPT_BY_ANGLERS
from samples.findings.topics.account import Account
from samples.findings.topics.ages import ages_text, whole_years_warning
from samples.findings.topics.grown import Grown, aims_of, grow_groups
from samples.findings.topics.growth.fished import count_in_taken
from samples.findings.topics.growth.forms import (
    Forms,
    better_text,
    forms_of,
    forms_table,
    ratio_tests_table,
    sexes_text,
)
from samples.findings.topics.growth.intervals import (
    calibration,
    counted_in_text,
    differences_calibration,
    harvest_text,
    too_narrow,
)
from samples.findings.topics.growth.tables import (
    differences_table,
    ends_of,
    growth_years_table,
    lengths_table,
    recent_text,
    values_table,
    years_table,
)
from samples.findings.topics.headline import and_text, extremes, in_brackets, in_group
from samples.findings.topics.length_at_age import page as length_at_age
from samples.findings.topics.query import NO_AGED_FISH, TopicQuery
from samples.science.growth.summaries import YearsTo, lengths_at, years_to

POINTS = 60
# Where more of the measured fish are longer than any aged one, the curve levels off too soon.
LONGER_SHARE = 0.02
MOSTLY_KEPT = 0.8
CI = "95% CI "


def build(query: TopicQuery) -> Page:
    """Return a growth curve of each group and compare them."""
    title = f"{query.species}: growth, {query.choice.season_words}"
    grown, problems = grow_groups(query)
    refused = [
        Sentence(problem.code, problem.sentence).of(name) for name, problem in problems.items()
    ]
    # What most answers rest on comes first, and stays where there is no curve.
    means = length_at_age.build(query)
    if not grown:
        words = joined(refused) or NO_AGED_FISH
        return Page(title, refused=words, plots=means.plots, tables=means.tables)
    forms = [one for one in map(forms_of, grown) if one is not None]
    grown = count_in_taken(query, grown)
    return Page(
        title=title,
        answer=_answer(query, grown),
        summary=[*_together(query, grown), *_lead(query, grown), *_years_say(grown)],
        warnings=[
            *whole_years_warning(query.sample),
            *_one_season(grown),
            *too_narrow(grown[0].effects.seasons, max(one.effects.year_sd for one in grown)),
            *query.pooled(),
            *sexes_text(query),
            *better_text(forms),
            *_warnings(query, grown),
        ],
        plots=[_plot(query, grown, forms), *means.plots],
        tables=[
            *means.tables,
            lengths_table(query, grown),
            years_table(query, grown),
            *differences_table(query, grown),
            values_table(query, grown),
            *growth_years_table(grown),
            *forms_table(query, forms),
            *ratio_tests_table(grown),
            calibration(),
            *differences_calibration(grown),
        ],
        left_out=[*refused, *_account(query, grown).sentences(), *query.left_out],
        cautions=[
            *_kept_text(query, grown),
            *_harvest_texts(grown),
            *query.cautions(),
        ],
    )


def _account(query: TopicQuery, grown: list[Grown]) -> Account:
    sample = query.sample
    account = Account("aged fish", int(np.count_nonzero(sample.aged)))
    curved = np.isin(sample.fish, np.concatenate([one.measured.fish for one in grown]))
    undated = sample.aged & ~np.isfinite(sample.clock)
    account.exclude(
        "no_catch_date",
        int(np.count_nonzero(undated & curved)),
        "aged fish without a catch date are not in the curve.",
    )
    account.exclude(
        "too_short",
        sum(one.short_left_out for one in grown),
        "fish kept by anglers are shorter than the length from which anglers usually keep fish.",
    )
    account.exclude(
        "no_group",
        int(np.count_nonzero(sample.aged & ~curved)),
        "aged fish belong to no curve shown here.",
    )
    return account


def _together(query: TopicQuery, grown: list[Grown]) -> list[Sentence]:
    """Return in one sentence how long the average fish of each group takes, the quickest first."""
    aim = aims_of(query)[2]
    found = [(years_to(one.curve, one.draws, aim).years, one) for one in grown]
    timed = [
        (f"{years:.1f}", years, in_group(query, one.name))
        for years, one in found
        if years is not None and one.youngest_time <= years <= one.oldest_time
    ]
    if len(grown) < 2 or not timed:
        return []
    groups: dict[str, list[str]] = {}
    for text, _, where in sorted(timed, key=lambda one: one[1]):
        groups.setdefault(text, []).append(where)
    times = and_text(
        [
            f"{'' if place else _before_years(query)}{text}{'' if place else _after_years(query)} "
            f"{and_text(names)}"
            for place, (text, names) in enumerate(groups.items())
        ]
    )
    never = [in_group(query, one.name) for years, one in found if years is None]
    words = f"The average fish reaches {query.with_unit(aim)} {times}"
    end = f"; {and_text(never)} it does not" if never else ""
    return [Sentence("years_together", f"{words}{end}.")]


def _before_years(query: TopicQuery) -> str:
    return "at age " if query.sample.whole_years else "after "


def _after_years(query: TopicQuery) -> str:
    return "" if query.sample.whole_years else " growing seasons"


def _lead(query: TopicQuery, grown: list[Grown]) -> list[str]:
    aim = aims_of(query)[2]
    said = [
        f"{one.name}: {_reaches(query, one, years_to(one.curve, one.draws, aim), aim)}"
        for one in grown
    ]
    # Which interval it is stands in the first sentence that has one.
    first = next((place for place, words in enumerate(said) if CI in words), 0)
    return [words if place == first else words.replace(CI, "") for place, words in enumerate(said)]


def _reaches(query: TopicQuery, one: Grown, found: YearsTo, aim: float) -> str:
    length = query.with_unit(aim)
    if found.years is None:
        return f"the average fish does not reach {length} (probability {_percent(found.never)})."
    if not one.youngest_time <= found.years <= one.oldest_time:
        return (
            f"no fish here is of the age at which the average fish reaches {length}: not estimated."
        )
    ends = ends_of(one, found.interval).text
    if query.sample.whole_years:
        return f"the average fish reaches {length} at age {found.years:.1f} ({CI}{ends})."
    return (
        f"the average fish reaches {length} after {found.years:.1f} growing seasons ({CI}{ends})."
    )


def _answer(query: TopicQuery, grown: list[Grown]) -> str:
    """Return in which group fish grow fastest and slowest; of one, how long they take."""
    aim = aims_of(query)[2]
    speed = {}
    for one in grown:
        years = years_to(one.curve, one.draws, aim).years
        speed[one.name] = 1 / years if years else 0.0
    fastest, slowest = extremes(speed)
    if fastest != slowest:
        return f"Fish grow fastest {in_group(query, fastest)}, slowest {in_group(query, slowest)}"
    head, _ = _head(query, grown[0])
    return f"{query.clock_name} to reach a length {in_group(query, fastest)}: {head}"


def _head(query: TopicQuery, one: Grown) -> tuple[str, str]:
    """Return when the average fish of a group reaches the length asked about, and how sure."""
    aim = aims_of(query)[2]
    found, length = years_to(one.curve, one.draws, aim), query.with_unit(aim)
    if found.years is None:
        return f"never {length}", ""
    if not one.youngest_time <= found.years <= one.oldest_time:
        return f"{length} not estimated", ""
    ends = ends_of(one, found.interval)
    return f"{length} at {found.years:.1f}", in_brackets(ends.low, ends.high)


def _foot(query: TopicQuery, one: Grown) -> str:
    curve = one.curve
    linf = f"Linf {query.with_unit(curve.linf_mm)}"
    return f"{linf}, K {curve.k:.2f}, t0 {curve.t0:.2f}"


def _percent(share: float) -> str:
    return "> 99%" if share > 0.99 else f"{100 * share:.0f}%"


def _years_say(grown: list[Grown]) -> list[Sentence]:
    """Name growth years whose interval leaves the average out; of several seasons alone."""
    if all(one.effects.seasons < 2 for one in grown):
        return []
    said = []
    for year in grown[0].effects.years:
        if year.lower <= 1 <= year.upper:
            continue
        kind = "good" if year.lower > 1 else "poor"
        words = (
            f"{year.year} was a {kind} growth year: {year.ratio:.1f} times the average "
            f"({year.lower:.1f}-{year.upper:.1f})."
        )
        said.append(Sentence(f"{kind}_year", words))
    return said


def _one_season(grown: list[Grown]) -> list[Sentence]:
    if any(one.effects.seasons > 1 for one in grown):
        return []
    return [
        Sentence(
            "year_sd_assumed",
            "One season cannot separate good growth years from the shape of the curve. The "
            "intervals assume a year-to-year sd of 0.2. Add seasons.",
        )
    ]


def _warnings(query: TopicQuery, grown: list[Grown]) -> list[Sentence]:
    told = []
    kept = [one for one in grown if one.kept_from_mm is not None and _mostly_kept(one)]
    if kept:
        words = (
            f"Anglers keep fish from {_kept_lengths(query, kept)}, so at young ages most fish here "
            "are fast growers. The curve allows for it, but young ages rest on the spread at age. "
            "Add young fish from trap nets."
        )
        told.append(Sentence("fast_growers_kept", words))
    for one in grown:
        longest = float(one.sample.length_mm.max())
        over = int(np.count_nonzero(one.measured.length_mm > longest))
        if over > LONGER_SHARE * one.measured.n:
            words = (
                f"the curve is extrapolated above {query.with_unit(longest)}. Age some of the "
                f"{over:,} longer fish that were measured."
            )
            told.append(Sentence("extrapolated", words).of(one.name))
    return told


def _kept_text(query: TopicQuery, grown: list[Grown]) -> list[Sentence]:
    kept = [one for one in grown if one.kept_from_mm is not None and one.kept_mm.any()]
    if not kept:
        return []
    return [
        Sentence(
            "cut_off_by_anglers",
            f"Anglers keep fish from about {_kept_lengths(query, kept)}. Of their fish, only the "
            "part above that length was seen, and the curve allows for the rest.",
        )
    ]


def _harvest_texts(grown: list[Grown]) -> list[Sentence]:
    """Return what the fish that anglers took do to the curves: counted in, or not."""
    counted = [(one.name, one.fishing) for one in grown if one.fishing is not None]
    left = any(one.kept_from_mm and one.fishing is None for one in grown)
    return [
        *([counted_in_text(counted)] if counted else []),
        *([harvest_text()] if left else []),
    ]


def _mostly_kept(one: Grown) -> bool:
    of_anglers = [method in KEPT_BY_ANGLERS for method in one.sample.method]
    return bool(np.mean(of_anglers) > MOSTLY_KEPT)


def _kept_lengths(query: TopicQuery, grown: list[Grown]) -> str:
    """Write the length from which anglers keep fish, with the group where there are several."""
    lengths = [query.with_unit(one.kept_from_mm or 0.0) for one in grown]
    if len(grown) == 1:
        return f"{lengths[0]} ({grown[0].name})"
    every = [f"{length} ({one.name})" for length, one in zip(lengths, grown, strict=True)]
    return f"{', '.join(every[:-1])} and {every[-1]}"


def _clock(query: TopicQuery) -> str:
    whole = query.sample.whole_years
    return "age in whole years" if whole else "the growth clock, which stands still in winter"


def _plot(query: TopicQuery, grown: list[Grown], forms: list[Forms]) -> Plot:
    times = {one.name: np.linspace(one.youngest_time, one.oldest_time, POINTS) for one in grown}
    better = {one.name: one.better for one in forms}
    said = dict(zip([one.name for one in grown], _lead(query, grown), strict=True))

    def line(name: str, lengths: np.ndarray) -> tuple[list[float], list[float]]:
        return [float(x) for x in times[name]], [query.in_unit(float(x)) for x in lengths]

    lines = {one.name: line(one.name, one.curve.length_at(times[one.name])) for one in grown}
    panels = []
    for one in grown:
        rows = lengths_at(one.curve, one.draws, times[one.name])
        series = [
            *[Series("soft", *lines[name], name=name) for name in lines if name != one.name],
            Series(
                "small",
                [float(x) for x in one.sample.clock],
                [query.in_unit(float(x)) for x in one.sample.length_mm],
                name="fish",
                keys=[str(vial) for vial in one.sample.vial],
            ),
            Series(
                "band",
                *lines[one.name],
                lower=[max(query.in_unit(row.lower), 0.0) for row in rows],
                upper=[max(query.in_unit(row.upper), 0.0) for row in rows],
                name="95% CI of the mean",
            ),
            Series("line", *lines[one.name], name="mean length, average year"),
        ]
        if one.effects.seasons > 1:
            recent = line(one.name, one.recent.curve.length_at(times[one.name]))
            series.append(Series("dash", *recent, name=f"growth of {recent_text(grown)}"))
        other = better.get(one.name)
        if other is not None:
            shape = line(one.name, other.length_at(times[one.name]))
            series.append(Series("dotted", *shape, name=f"{other.form} curve"))
        marks = []
        if one.kept_from_mm is not None:
            kept = query.length(one.kept_from_mm)
            marks = [Mark(float(kept), "anglers keep fish from here", low=True, tick=kept)]
        head, ends = _head(query, one)
        panels.append(
            Panel(
                one.name,
                series,
                marks,
                note=f"n = {one.sample.n}",
                answer=head,
                interval=ends,
                foot=_foot(query, one),
                says=said[one.name],
            )
        )
    return Plot(
        name="Growth curves",
        panels=panels,
        x_label="Age, years" if query.sample.whole_years else "Growing seasons",
        y_label=f"Total length, {query.unit_name}",
        alt=f"Growth curves with their fish, {len(panels)} panels. {' '.join(_lead(query, grown))}",
        caption=f"Each dot is a fish. {ages_text(query.sample)} Von Bertalanffy curve on "
        f"{_clock(query)}{_taken_too(grown)}.",
        whole_x=True,
    )


def _taken_too(grown: list[Grown]) -> str:
    return ", fish that anglers took counted in" if any(one.fishing for one in grown) else ""
