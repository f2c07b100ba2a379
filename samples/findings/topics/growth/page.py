"""Growth curves side by side over the seasons, their intervals, and how groups differ."""

from dataclasses import replace

import numpy as np

from samples.findings.page_model import Mark, Page, Panel, Plot, Sentence, Series, joined
from samples.findings.queries.choice import SEXES
from samples.findings.topics.account import Account
from samples.findings.topics.ages import ages_text, whole_years_warning
from samples.findings.topics.grown import Grown
from samples.findings.topics.growth.analyse import GroupGrowth, Growth, Reaching, analyse
from samples.findings.topics.growth.forms import (
    better_text,
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
from samples.findings.topics.headline import extremes, in_brackets, in_group
from samples.findings.topics.length_at_age import page as length_at_age
from samples.findings.topics.query import NO_AGED_FISH, TopicQuery
from samples.findings.topics.study import FishGroup
from samples.findings.topics.true_age_texts import error_wanted, lengths_text, refusal
from samples.findings.topics.true_ages import draw_back
from samples.rules.and_text import and_text
from samples.units import LengthUnit

# Lengths of small fish go by the inch, of larger ones by two.
SMALL_FISH_MM = 305.0
CI = "95% CI "


def build(query: TopicQuery) -> Page:
    """Return a growth curve of each group and compare them; by true ages where they are wanted."""
    error = error_wanted(query)
    if error is None:
        return _page(query, refusal(query))
    drawn = draw_back(query.study, query.sample, error)
    return _page(replace(query, sample=drawn), lengths_text(query, error, drawn))


def _page(query: TopicQuery, about_ages: list[Sentence]) -> Page:
    title = f"{query.species}: growth, {query.choice.season_words}"
    found = analyse(
        query.study,
        query.sample,
        query.stocks(),
        entered=query.loaded.entered,
        lengths_mm=_lengths_asked(query),
        by_sex=_by_sex(query),
    )
    grown, groups = found.grown, found.groups
    refused = [
        Sentence(problem.code, problem.sentence).of(name) for name, problem in found.refused.items()
    ]
    # What most answers rest on comes first, and stays where there is no curve.
    means = length_at_age.build(query)
    if not grown:
        words = joined(refused) or NO_AGED_FISH
        return Page(title, refused=words, plots=means.plots, tables=means.tables)
    forms = [one.forms for one in groups if one.forms is not None]
    return Page(
        title=title,
        answer=_answer(query, groups),
        summary=[*_together(query, groups), *_lead(query, groups), *_years_say(grown)],
        warnings=[
            *about_ages,
            *whole_years_warning(query.sample),
            *_one_season(grown),
            *too_narrow(grown[0].effects.seasons, max(one.effects.year_sd for one in grown)),
            *query.pooled(),
            *sexes_text(query, found.sexes),
            *better_text(forms),
            *_warnings(query, groups),
        ],
        plots=[_plot(query, groups), *means.plots],
        tables=[
            *means.tables,
            lengths_table(query, found),
            years_table(query, found),
            *differences_table(query, found),
            values_table(query, grown),
            *growth_years_table(grown),
            *forms_table(query, forms),
            *ratio_tests_table(found),
            calibration(),
            *differences_calibration(grown),
        ],
        left_out=[*refused, *_account(query, found).sentences(), *query.left_out],
        cautions=[
            *_kept_text(query, grown),
            *_harvest_texts(grown),
            *query.cautions(),
        ],
    )


def _lengths_asked(query: TopicQuery) -> list[float]:
    """Return the lengths that years are told to, mm: five about the preferred length."""
    inches = query.unit is LengthUnit.INCH
    middle = query.preferred_mm(query.choice.species)
    step = (25.4 if inches else 25.0) * (1 if middle <= SMALL_FISH_MM else 2)
    return [middle + step * place for place in (-2, -1, 0, 1, 2)]


def _by_sex(query: TopicQuery) -> list[FishGroup]:
    """Return the sexes of all fish, unless they stand side by side already or one was chosen."""
    if query.choice.compare == SEXES or query.choice.sexes:
        return []
    return replace(query, choice=replace(query.choice, compare=SEXES, relatives=())).stocks()


def _account(query: TopicQuery, found: Growth) -> Account:
    sample, out = query.sample, found.excluded
    account = Account("aged fish", int(np.count_nonzero(sample.aged)))
    account.exclude(
        "no_catch_date", out.undated, "aged fish without a catch date are not in the curve."
    )
    account.exclude(
        "too_short",
        out.too_short,
        "fish kept by anglers are shorter than the length from which anglers usually keep fish.",
    )
    account.exclude("no_group", out.of_no_group, "aged fish belong to no curve shown here.")
    return account


def _together(query: TopicQuery, groups: list[GroupGrowth]) -> list[Sentence]:
    """Return in one sentence how long the average fish of each group takes, the quickest first."""
    aim = groups[0].middle.length_mm
    found = [(one.middle.average.years, one.grown) for one in groups]
    timed = [
        (f"{years:.1f}", years, in_group(query, one.name))
        for years, one in found
        if years is not None and one.youngest_time <= years <= one.oldest_time
    ]
    if len(groups) < 2 or not timed:
        return []
    at: dict[str, list[str]] = {}
    for text, _, where in sorted(timed, key=lambda one: one[1]):
        at.setdefault(text, []).append(where)
    times = and_text(
        [
            f"{'' if place else _before_years(query)}{text}{'' if place else _after_years(query)} "
            f"{and_text(names)}"
            for place, (text, names) in enumerate(at.items())
        ]
    )
    never = [in_group(query, one.name) for years, one in found if years is None]
    words = f"The average fish reaches {query.with_unit(aim)} {times}"
    end = f"; {and_text(never)} it never does" if never else ""
    return [Sentence("years_together", f"{words}{end}.")]


def _before_years(query: TopicQuery) -> str:
    return "at age " if query.sample.whole_years else "after "


def _after_years(query: TopicQuery) -> str:
    return "" if query.sample.whole_years else " growing seasons"


def _lead(query: TopicQuery, groups: list[GroupGrowth]) -> list[str]:
    said = [f"{one.name}: {_reaches(query, one.grown, one.middle)}" for one in groups]
    # Which interval it is stands in the first sentence that has one.
    first = next((place for place, words in enumerate(said) if CI in words), 0)
    return [words if place == first else words.replace(CI, "") for place, words in enumerate(said)]


def _reaches(query: TopicQuery, one: Grown, reaching: Reaching) -> str:
    found, length = reaching.average, query.with_unit(reaching.length_mm)
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


def _answer(query: TopicQuery, groups: list[GroupGrowth]) -> str:
    """Return in which group fish grow fastest and slowest; of one, how long they take."""
    speed = {}
    for one in groups:
        years = one.middle.average.years
        speed[one.name] = 1 / years if years else 0.0
    fastest, slowest = extremes(speed)
    if fastest != slowest:
        return f"Fish grow fastest {in_group(query, fastest)}, slowest {in_group(query, slowest)}"
    head, _ = _head(query, groups[0])
    return f"{query.clock_name} to reach a length {in_group(query, fastest)}: {head}"


def _head(query: TopicQuery, group: GroupGrowth) -> tuple[str, str]:
    """Return when the average fish of a group reaches the length asked about, and how sure."""
    one, found = group.grown, group.middle.average
    length = query.with_unit(group.middle.length_mm)
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


def _warnings(query: TopicQuery, groups: list[GroupGrowth]) -> list[Sentence]:
    told = []
    kept = [one.grown for one in groups if one.grown.kept_from_mm is not None and one.mostly_kept]
    if kept:
        words = (
            f"Anglers keep fish from {_kept_lengths(query, kept)}, so at young ages most fish here "
            "are fast growers. The curve allows for it, but young ages rest on the spread at age. "
            "Add young fish from trap nets."
        )
        told.append(Sentence("fast_growers_kept", words))
    for one in groups:
        if one.is_extrapolated:
            longest = query.with_unit(one.longest_mm)
            words = (
                f"the curve is extrapolated above {longest}. Age some of the "
                f"{one.longer:,} longer fish that were measured."
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


def _kept_lengths(query: TopicQuery, grown: list[Grown]) -> str:
    """Write the length from which anglers keep fish, with the group where there are several."""
    lengths = [query.with_unit(one.kept_from_mm or 0.0) for one in grown]
    if len(grown) == 1:
        return f"{lengths[0]} ({grown[0].name})"
    every = [f"{length} ({one.name})" for length, one in zip(lengths, grown, strict=True)]
    return and_text(every)


def _clock(query: TopicQuery) -> str:
    whole = query.sample.whole_years
    return "age in whole years" if whole else "the growth clock, which stands still in winter"


def _plot(query: TopicQuery, groups: list[GroupGrowth]) -> Plot:
    grown = [one.grown for one in groups]
    leads = _lead(query, groups)

    def lengths(values: np.ndarray) -> list[float]:
        return [query.in_unit(float(x)) for x in values]

    times = {one.name: [float(x) for x in one.line.times] for one in groups}
    lines = {one.name: (times[one.name], lengths(one.line.mean)) for one in groups}
    panels = []
    for group, said in zip(groups, leads, strict=True):
        one, own = group.grown, group.line
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
                lower=lengths(own.lower),
                upper=lengths(own.upper),
                name="95% CI of the mean",
            ),
            Series("line", *lines[one.name], name="mean length, average year"),
        ]
        if one.effects.seasons > 1:
            name = f"growth of {recent_text(grown)}"
            series.append(Series("dash", times[one.name], lengths(own.recent), name=name))
        better = group.forms.better if group.forms else None
        if better is not None and own.better is not None:
            name = f"{better.form} curve"
            series.append(Series("dotted", times[one.name], lengths(own.better), name=name))
        marks = []
        if one.kept_from_mm is not None:
            kept = query.length(one.kept_from_mm)
            marks = [Mark(float(kept), "anglers keep fish from here", low=True, tick=kept)]
        head, ends = _head(query, group)
        panels.append(
            Panel(
                one.name,
                series,
                marks,
                note=f"n = {one.sample.n}",
                answer=head,
                interval=ends,
                foot=_foot(query, one),
                says=said,
            )
        )
    return Plot(
        name="Growth curves",
        panels=panels,
        x_label="Age, years" if query.sample.whole_years else "Growing seasons",
        y_label=f"Total length, {query.unit_name}",
        alt=f"Growth curves with their fish, {len(panels)} panels. {' '.join(leads)}",
        caption=f"Each dot is a fish. {ages_text(query.sample)} Von Bertalanffy curve on "
        f"{_clock(query)}{_taken_too(grown)}.",
        whole_x=True,
    )


def _taken_too(grown: list[Grown]) -> str:
    return ", fish that anglers took counted in" if any(one.fishing for one in grown) else ""
