"""What an answer rests on beside growth and deaths: lengths kept, release, weights, conflicts."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from samples.findings.entered import Elsewhere, ReleaseInput
from samples.findings.limits import LimitSelection
from samples.findings.sample import Floats, Sample
from samples.findings.topics.died import Died
from samples.findings.topics.fishing import compare_ways, fishing_by_difference
from samples.findings.topics.fishing_inputs import CannotJudge
from samples.findings.topics.length_limit.catch_season import seasons_named
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.length_limit.inputs import Deaths
from samples.science.size_structure import STANDARD_WEIGHTS, relative_weight

# Where nothing was entered. Common practice, no source.
ASSUMED_RELEASE_DEATH = (0.05, 0.10, 0.15)
FEWEST_WEIGHED = 20
# Where a species has no quality length.
SHARE_OF_RULE = 0.8


class FreeBy(StrEnum):
    """Where the length comes from at which anglers would keep fish without the limit in force."""

    CHOSEN = "chosen"
    QUALITY = "quality"
    SHARE_OF_RULE = "share_of_rule"


@dataclass(frozen=True, slots=True)
class Free:
    """That length; ``by`` is missing where there is no limit in force."""

    mm: float
    by: FreeBy | None = None


class ReleaseBy(StrEnum):
    """Why a figure of release death was taken."""

    DEFAULT = "default"
    CHOSEN = "chosen"
    ONLY = "only"
    SEASON = "season"
    HARSHEST = "harshest"


@dataclass(frozen=True, slots=True)
class Release:
    """Share of released fish that die: least, middle, most; ``season`` is that of most catch."""

    least: float
    middle: float
    most: float
    by: ReleaseBy
    row: ReleaseInput | None = None
    season: str = ""


class WeightsBy(StrEnum):
    """Where weight at length comes from."""

    FISH = "fish"
    CUBE = "cube"
    STANDARD = "standard"
    RELATIVE = "relative"


@dataclass(frozen=True, slots=True)
class Weights:
    """a and b of log10 weight on log10 length, by ``n`` weighed fish of a mean Wr."""

    a: float
    b: float
    by: WeightsBy
    n: int = 0
    mean_wr: float = 0.0


@dataclass(frozen=True, slots=True)
class Contradiction:
    """F by Z - M and by tags, which contradict each other."""

    by_total: float
    by_tags: float


@dataclass(frozen=True, slots=True)
class TotalsApart:
    """Z by the inputs, and by the ages of the fish: ranges that do not meet."""

    of_inputs: tuple[float, float]
    of_fish: tuple[float, float]


def check_enough(limit: LimitSelection, group: FishGroup) -> None:
    """Refuse where too few fish are aged for a verdict.

    :raises CannotJudge: few_aged
    """
    aged = int(np.count_nonzero(group.sample.aged))
    if aged < limit.fewest_aged:
        raise CannotJudge("few_aged", wanted=limit.fewest_aged, aged=aged)


def kept_without(
    limit: LimitSelection, group: FishGroup, kept_from_mm: float, rule_mm: float
) -> Free:
    """Return the length from which anglers would keep fish without the limit in force."""
    if not rule_mm:
        return Free(kept_from_mm)
    if limit.kept_without_mm:
        length, by = limit.kept_without_mm, FreeBy.CHOSEN
    elif group.quality_mm is not None:
        length, by = group.quality_mm, FreeBy.QUALITY
    else:
        length, by = SHARE_OF_RULE * rule_mm, FreeBy.SHARE_OF_RULE
    return Free(min(length, kept_from_mm, rule_mm), by)


def release_of(external: Elsewhere, chosen: str, season: str) -> Release:
    """Return least, middle and most of the share of released fish that die.

    Of several, that of the season when most fish are caught; where none names it, the highest, so
    that no limit is promised more than it gives.
    """
    if not external.release:
        return Release(*ASSUMED_RELEASE_DEATH, ReleaseBy.DEFAULT)
    picked = [one for one in external.release if one.key == chosen]
    of_season = [one for one in external.release if season in seasons_named(one.when)]
    row = (picked or of_season or external.release)[0]
    by = ReleaseBy.HARSHEST if len(external.release) > 1 else ReleaseBy.ONLY
    if picked:
        by = ReleaseBy.CHOSEN
    elif of_season:
        by = ReleaseBy.SEASON
    return Release(row.least, row.middle, row.most, by, row, season)


def weights_at_length(code: str, sample: Sample) -> Weights:
    """Return weight at length: of these fish, or the standard weight's."""
    weighed = sample.weight_g > 0
    if np.count_nonzero(weighed) >= FEWEST_WEIGHED:
        x, y = np.log10(sample.length_mm[weighed]), np.log10(sample.weight_g[weighed])
        if x.std() > 0:
            b, a = np.polyfit(x, y, 1)
            return Weights(float(a), float(b), WeightsBy.FISH, n=x.size)
    if code not in STANDARD_WEIGHTS:
        return Weights(-5.0, 3.0, WeightsBy.CUBE)
    line = STANDARD_WEIGHTS[code]
    try:
        found = relative_weight(code, sample.length_mm, sample.weight_g)
    except CannotEstimate:
        return Weights(line.a, line.b, WeightsBy.STANDARD)
    a = line.a + float(np.log10(found.mean / 100))
    return Weights(a, line.b, WeightsBy.RELATIVE, n=found.n, mean_wr=found.mean)


def contradiction_of(
    study: Study, natural: Floats, total: Died | None, external: Elsewhere
) -> Contradiction | None:
    """Return how F by tags and F = Z - M contradict each other; nothing where they do not."""
    if total is None or not external.tags:
        return None
    found = compare_ways(study, natural, total, external.tags)
    if found is None or not found.disagree:
        return None
    by_total = float(np.median(found.f_by_total))
    if external.natural is not None:
        by_total = fishing_by_difference(total, external.natural)
    return Contradiction(by_total, float(np.median(found.f_by_tags)))


def totals_apart(deaths: Deaths, total: Died | None) -> TotalsApart | None:
    """Return total mortality by the inputs and by the fish where their ranges do not meet."""
    if total is None:
        return None
    low, high = total.interval
    least, most = (float(one) for one in np.quantile(deaths.f + deaths.m, (0.025, 0.975)))
    if least > high or most < low:
        return TotalsApart((least, most), (low, high))
    return None


def taken_of(deaths: Deaths) -> Floats:
    """Return the share taken in a year, u = F A / Z, shape (draws,)."""
    total = deaths.f + deaths.m
    taken: Floats = deaths.f / total * -np.expm1(-total)
    return taken
