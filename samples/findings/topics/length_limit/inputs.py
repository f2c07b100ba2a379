"""What an answer rests on, each with its source: kept length, deaths, release, weights."""

from typing import TypeAlias

import numpy as np

from samples.findings.page_model import PERCENT, Cell, Joined, Sentence, Text
from samples.findings.queries.elsewhere import Elsewhere, seasons_named
from samples.findings.sample import Sample
from samples.findings.topics.died import Died, die
from samples.findings.topics.fishing import compared, fishing_by_difference, tags_of
from samples.findings.topics.grown import Grown
from samples.findings.topics.length_limit.table_cells import range_cell, share_cell
from samples.findings.topics.query import MM_PER_INCH, FishGroup, TopicQuery
from samples.models import ReleaseDeath
from samples.science.errors import CannotEstimate
from samples.science.length_limit.fish_lives import Floats
from samples.science.length_limit.inputs import (
    Deaths,
    deaths_by_tags,
    deaths_by_total,
    natural_by_thumb,
    natural_from_shares,
    taken_by_tags,
)
from samples.science.rates import natural_from_growth
from samples.science.size_structure import LENGTHS, STANDARD_WEIGHTS, relative_weight
from samples.units import LengthUnit

# What an answer rests on: what it is, its figure, and where that comes from.
Input: TypeAlias = tuple[str, Cell, str]
DRAWS = 1_000
# Where nothing was entered. Common practice, no source.
ASSUMED_RELEASE_DEATH = (0.05, 0.10, 0.15)
FEWEST_WEIGHED = 20
# Where a species has no quality length.
SHARE_OF_RULE = 0.8
# A share of contradicting draws, and a distance from a creel survey, that deserve a word.
WORTH_SAYING = 0.01
FAR_MM = 13.0


def enough(query: TopicQuery, group: FishGroup) -> None:
    """Refuse where too few fish are aged for a verdict.

    :raises CannotEstimate: in a sentence that says what is missing
    """
    wanted = query.choice.limit.fewest_aged
    aged = int(np.count_nonzero(group.sample.aged))
    if aged < wanted:
        raise CannotEstimate(
            "few_aged",
            f"a verdict wants {wanted} aged fish, and here are {aged}. Age {wanted - aged} more, "
            "small ones from trap nets among them.",
        )


def kept_from_of(query: TopicQuery, grown: Grown, external: Elsewhere) -> tuple[float, Input]:
    """Return the length at which anglers begin to keep fish, mm, and where it comes from.

    :raises CannotEstimate: in a sentence that says what is missing
    """
    what = "Anglers keep fish from"
    if grown.kept_from_mm is not None:
        remark = Text("19 of 20 kept fish are longer")
        kept = query.length_cell(grown.kept_from_mm)
        figure = Joined("{}: {}", (("", kept), ("remark", remark)))
        return grown.kept_from_mm, (what, figure, "fish that anglers kept")
    if external.creel and external.creel.smallest_kept_hundredths_mm:
        length = external.creel.smallest_kept_hundredths_mm / 100
        return length, (what, query.length_cell(length), external.creel.source)
    raise CannotEstimate(
        "no_kept_length",
        "it is not known from which length anglers keep fish. Log twenty fish that anglers kept, "
        "or enter the smallest size kept of a creel survey.",
    )


def kept_without(
    query: TopicQuery, group: FishGroup, kept_from_mm: float, rule_mm: float
) -> tuple[float, list[Input]]:
    """Return the length from which anglers would keep fish without the limit in force, mm."""
    if not rule_mm:
        return kept_from_mm, []
    what = "Without the limit, anglers would keep fish from"
    length, source = query.choice.limit.kept_without_mm, "entered above"
    if not length:
        code = group.species.species.code
        quality = quality_mm(code, query.unit) if code in LENGTHS else SHARE_OF_RULE * rule_mm
        length, source = quality, "default: quality length (Gabelhouse 1984)"
        if code not in LENGTHS:
            source = "default: four fifths of the limit in force"
    length = min(length, kept_from_mm, rule_mm)
    return length, [(what, query.length_cell(length), source)]


def quality_mm(code: str, unit: LengthUnit) -> float:
    place = LENGTHS[code]
    return place.inches[1] * MM_PER_INCH if unit is LengthUnit.INCH else float(place.mm[1])


def total_of(query: TopicQuery, group: FishGroup) -> Died | None:
    """Return all death by the ages of the fish, where they tell it."""
    try:
        return die(query, group.name, group.sample)
    except CannotEstimate:
        return None


def natural_of(rng: np.random.Generator, grown: Grown, external: Elsewhere) -> tuple[Floats, Input]:
    """Draw natural death: as entered, or by a rule of thumb."""
    what = "Natural mortality per year"
    entered = external.natural
    if entered is None:
        curve = grown.curve
        rate = natural_from_growth(curve.linf_mm, curve.k)
        drawn = natural_by_thumb(rng, DRAWS, rate)
        source = "rule of thumb from growth (Then et al. 2015): nothing was entered"
        return drawn, (what, share_cell(-np.expm1(-drawn), PERCENT), source)
    least, middle, most = (float(x) for x in (entered.least, entered.middle, entered.most))
    drawn = natural_from_shares(rng, DRAWS, least=least, middle=middle, most=most)
    return drawn, (what, range_cell(least, middle, most), entered.source)


def deaths_of(
    rng: np.random.Generator, natural: Floats, total: Died | None, external: Elsewhere
) -> tuple[Deaths, Input]:
    """Draw fishing beside natural death: by tags, else what natural death leaves of all death.

    :raises CannotEstimate: in a sentence that says what is missing
    """
    what = "Harvested per year"
    if external.tags:
        taken = taken_by_tags(rng, DRAWS, [tags_of(one) for one in external.tags])
        deaths = deaths_by_tags(rng, natural, taken)
        seasons = ", ".join(one.season.name for one in external.tags)
        return deaths, (what, share_cell(taken_of(deaths), PERCENT), f"tag returns of {seasons}")
    if total is None:
        raise CannotEstimate(
            "no_fishing",
            "it is not known how many are taken. Put out tags and enter their returns, or age "
            "enough fish for a death rate.",
        )
    deaths = deaths_by_total(rng, natural, rng.choice(total.drawn, DRAWS))
    return deaths, (
        what,
        share_cell(taken_of(deaths), PERCENT),
        "total less natural mortality, F = Z - M",
    )


def contradiction_of(
    query: TopicQuery, natural: Floats, total: Died | None, external: Elsewhere
) -> Sentence | None:
    """Return how F by tags and F = Z - M contradict each other; nothing where they do not."""
    if total is None or not external.tags:
        return None
    found = compared(query, natural, total, external.tags)
    if found is None or not found.disagree:
        return None
    by_tags = float(np.median(found.f_by_tags))
    by_total = float(np.median(found.f_by_total))
    if external.natural is not None:
        by_total = fishing_by_difference(total, external.natural)
    return Sentence(
        "tags_disagree",
        f"F is {by_total:.2f} by Z - M and {by_tags:.2f} by tags. They disagree. No harvest "
        "verdict is given until they agree.",
    )


def taken_of(deaths: Deaths) -> Floats:
    """Return the share taken in a year, u = F A / Z, shape (draws,)."""
    total = deaths.f + deaths.m
    taken: Floats = deaths.f / total * -np.expm1(-total)
    return taken


def release_of(
    external: Elsewhere, chosen: str, season: str
) -> tuple[tuple[float, float, float], Input]:
    """Return least, middle and most of the share of released fish that die.

    Of several, that of the season when most fish are caught; where none names it, the highest, so
    that no limit is promised more than it gives.
    """
    what = "Hooking mortality of released fish"
    if not external.release:
        low, middle, high = ASSUMED_RELEASE_DEATH
        return (low, middle, high), (
            what,
            range_cell(low, middle, high),
            "default: nothing was entered",
        )
    picked = [one for one in external.release if str(one.pk) == chosen]
    of_season = [one for one in external.release if season in seasons_named(one.when)]
    row: ReleaseDeath = (picked or of_season or external.release)[0]
    low, middle, high = (float(x) for x in (row.least, row.middle, row.most))
    when = f"{row.when}: " if row.when else ""
    why = ""
    if not picked and of_season:
        why = f" (most fish are caught in {season})"
    elif not picked and len(external.release) > 1:
        why = " (the highest entered: none names the season when most fish are caught)"
    return (low, middle, high), (what, range_cell(low, middle, high), f"{when}{row.source}{why}")


def all_release(external: Elsewhere) -> str:
    """Write every release death that was entered."""
    if not external.release:
        return "none; the default is 10% (5-15)"
    return "; ".join(
        f"{100 * float(one.middle):.0f}% do ({one.when or one.source})"
        for one in reversed(external.release)
    )


def weights_at_length(code: str, sample: Sample) -> tuple[float, float, Input]:
    """Return a and b of log10 weight on log10 length: of these fish, or the standard weight's."""
    what = "Weight at length"
    weighed = sample.weight_g > 0
    if np.count_nonzero(weighed) >= FEWEST_WEIGHED:
        x, y = np.log10(sample.length_mm[weighed]), np.log10(sample.weight_g[weighed])
        if x.std() > 0:
            b, a = np.polyfit(x, y, 1)
            return float(a), float(b), (what, Text(f"{x.size} weighed fish"), "these fish")
    if code not in STANDARD_WEIGHTS:
        return (
            -5.0,
            3.0,
            (what, Text("cube of the length"), "there is no standard weight for it here"),
        )
    line = STANDARD_WEIGHTS[code]
    try:
        found = relative_weight(code, sample.length_mm, sample.weight_g)
    except CannotEstimate:
        words = "standard weight (Blackwell, Brown & Willis 2000)"
        return line.a, line.b, (what, Text(words), "no fish were weighed")
    words = f"standard weight times mean Wr of {found.n} fish, {found.mean:.0f}"
    return line.a + float(np.log10(found.mean / 100)), line.b, (what, Text(words), "these fish")


def warnings_of(
    query: TopicQuery, kept_from_mm: float, external: Elsewhere, deaths: Deaths, total: Died | None
) -> list[Sentence]:
    """Return where figures contradict each other, or the fish."""
    said: list[Sentence] = []
    smallest = external.creel.smallest_kept_hundredths_mm if external.creel else None
    if smallest and abs(smallest / 100 - kept_from_mm) > FAR_MM:
        said.append(
            Sentence(
                "creel_disagrees",
                f"A creel survey gives {query.with_unit(smallest / 100)} as the smallest size "
                f"kept; the fish that anglers kept give {query.with_unit(kept_from_mm)}, which is "
                "used.",
            )
        )
    if deaths.contradicting >= WORTH_SAYING:
        said.append(
            Sentence(
                "draws_contradict",
                f"In {100 * deaths.contradicting:.0f}% of the draws the inputs contradict each "
                "other (M above Z, or more harvested than alive). They are excluded. Check the "
                "inputs under Rates.",
            )
        )
    if total is not None:
        low, high = total.interval
        all_death = deaths.f + deaths.m
        least, most = np.quantile(all_death, (0.025, 0.975))
        if least > high or most < low:
            said.append(
                Sentence(
                    "deaths_disagree",
                    f"Total mortality from the inputs (Z {least:.2f} to {most:.2f}) and from the "
                    f"ages of the fish (Z {low:.2f} to {high:.2f}) differ. Harvested fish, uneven "
                    "year classes or an input from another arm may be the reason.",
                )
            )
    return said
