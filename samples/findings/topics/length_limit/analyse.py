"""Every limit judged for every arm, and beside it other rules, other limits and other rates."""

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from samples.findings.entered import Entered
from samples.findings.limits import LimitSelection
from samples.findings.sample import Floats, Sample
from samples.findings.topics.length_limit.inputs import taken_of
from samples.findings.topics.length_limit.judged import JudgedArm, JudgedArms, judge_arms
from samples.findings.topics.length_limit.stock import Harvest, Known, some
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.length_limit.cases import given_up
from samples.science.length_limit.fish_lives import Lives, fishing_rate
from samples.science.length_limit.per_recruit import per_recruit
from samples.science.length_limit.rules import creel_share, one_over_share
from samples.science.length_limit.surface import quantiles, yield_surface

LOWER, UPPER = 0.025, 0.975
LOW_MIDDLE_HIGH = (0.1, 0.5, 0.9)
CURVE_DRAWS = 100
SURFACE_TAKEN = np.arange(0.0, 0.81, 0.05)


class Kind(StrEnum):
    """A kind of rule that can be asked about beside the present one."""

    NO_LIMIT = "no_limit"
    MINIMUM = "minimum"
    SLOT = "slot"
    ONE_OVER = "one_over"
    CREEL = "creel"


@dataclass(frozen=True, slots=True, eq=False)
class Regulation:
    """A rule and what it would do; ``lengths_mm`` are its lengths, ``fish`` its daily limit."""

    kind: Kind
    harvest: Harvest
    lengths_mm: tuple[float, ...] = ()
    fish: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class HarvestByLimit:
    """Change in weight harvested, %, at each limit, at low, middle and high exploitation ``u``.

    ``lower`` and ``upper`` are the ends of the 95% CI at middle exploitation.
    """

    limits_mm: Floats
    u: Floats
    low: Floats
    middle: Floats
    high: Floats
    lower: Floats
    upper: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Scenario:
    """Change in weight harvested, %, if M and the limit were so, at each exploitation rate."""

    limit_mm: float
    m: float
    changes: list[float]


@dataclass(frozen=True, slots=True, eq=False)
class Scenarios:
    """Every limit at low, middle and high M, and at low, middle and high exploitation ``u``."""

    u: Floats
    rows: list[Scenario]


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """Grams per recruit by limit and share taken: its median and ends, (3, limits, shares)."""

    limits_mm: Floats
    grams: Floats


@dataclass(frozen=True, slots=True, eq=False)
class ArmLimits:
    """One arm judged, with everything that its tables hold beside the verdict."""

    judged: JudgedArm
    regulations: list[Regulation]
    by_limit: HarvestByLimit
    scenarios: Scenarios
    surface: Surface

    @property
    def name(self) -> str:
        return self.judged.name

    @property
    def known(self) -> Known:
        return self.judged.known


@dataclass(frozen=True, slots=True, eq=False)
class LengthLimits:
    """What limits would do in each arm."""

    judged: JudgedArms
    arms: list[ArmLimits]


def analyse(
    study: Study,
    sample: Sample,
    groups: list[FishGroup],
    *,
    limit: LimitSelection,
    entered: Entered,
    step_mm: float,
) -> LengthLimits:
    """Judge limits, and work out what other rules and limits in steps would do."""
    judged = judge_arms(study, sample, groups, limit=limit, entered=entered)
    return LengthLimits(judged, [_beside(one, limit, step_mm) for one in judged.arms])


def _beside(arm: JudgedArm, limit: LimitSelection, step_mm: float) -> ArmLimits:
    known = arm.known
    limits = _limits_of(known, limit, step_mm)
    return ArmLimits(
        arm,
        _regulations(arm, limit),
        _by_limit(known, limits),
        _scenarios(known, limit),
        _surface(known, limits),
    )


# ---------- Other rules ----------


def _regulations(arm: JudgedArm, limit: LimitSelection) -> list[Regulation]:
    """Return each regulation that was asked about; what cannot be told stays out."""
    known, found = arm.known, []
    if known.rule_mm:
        found.append(Regulation(Kind.NO_LIMIT, Harvest(known, known.rule())))
    known_harvests = {one.limit_mm: one.harvest for one in arm.verdicts}
    for mm in sorted(limit.limits_mm):
        if mm != known.rule_mm and (mm > known.now.first_mm or mm < known.rule_mm):
            harvest = known_harvests.get(mm) or Harvest(known, known.rule(mm))
            found.append(Regulation(Kind.MINIMUM, harvest, (mm,)))
    if limit.slot_mm:
        rule = replace(known.rule(), slot_mm=limit.slot_mm)
        found.append(Regulation(Kind.SLOT, Harvest(known, rule), limit.slot_mm))
    return found + _by_trip(known, limit)


def _by_trip(known: Known, limit: LimitSelection) -> list[Regulation]:
    """Return the rules that need the harvest of a trip."""
    if not limit.kept_a_trip:
        return []
    found = []
    now = replace(known.now, release_death=known.release.middle)
    if limit.over_mm:
        rule = replace(now, over_mm=limit.over_mm, share_over=_share_over(known, limit))
        found.append(Regulation(Kind.ONE_OVER, Harvest(known, rule), (limit.over_mm,)))
    if limit.creel_limit:
        rule = replace(now, share_kept=_share_kept(known, limit.kept_a_trip, limit.creel_limit))
        found.append(Regulation(Kind.CREEL, Harvest(known, rule), fish=limit.creel_limit))
    return found


def _share_over(known: Known, limit: LimitSelection) -> Floats:
    none_over = replace(known.now, over_mm=limit.over_mm, share_over=0.0)
    over = np.clip(given_up(known.some, known.fishing, known.now, none_over), 0.0, 1.0)
    return one_over_share(limit.kept_a_trip or 0.0, over)


def _share_kept(known: Known, kept_a_trip: float, creel_limit: int) -> float:
    try:
        return creel_share(kept_a_trip, creel_limit, in_force=known.daily_limit)
    except CannotEstimate:
        return creel_share(kept_a_trip, creel_limit)


# ---------- Other limits and rates ----------


def _limits_of(known: Known, limit: LimitSelection, step_mm: float) -> Floats:
    """Return limits from the kept length on, in steps."""
    longest = max([*limit.limits_mm, float(np.median(known.lives.linf_mm))])
    first = step_mm * np.ceil(known.kept_from_mm / step_mm)
    last = max(longest, first) + 2 * step_mm
    return np.asarray(np.arange(first, last, step_mm), dtype=np.float64)


def _by_limit(known: Known, limits: Floats) -> HarvestByLimit:
    u = np.quantile(taken_of(known.deaths), LOW_MIDDLE_HIGH)
    changed = _against(known, limits, u)
    low, middle, high = np.median(changed, axis=-1)
    lower, upper = np.quantile(changed[1], (LOWER, UPPER), axis=-1)
    return HarvestByLimit(limits, u, low, middle, high, lower, upper)


def _against(known: Known, limits: Floats, u: Floats) -> Floats:
    """Return the change in weight, %, for each rate, limit and draw: (rates, limits, draws)."""
    one = some(known.lives, CURVE_DRAWS)
    fishing = fishing_rate(u[:, None], one.m)
    now = per_recruit(one, fishing, known.now).weight_g
    rows = [per_recruit(one, fishing, known.rule(float(limit))).weight_g for limit in limits]
    changed: Floats = 100 * (np.stack(rows, axis=1) / np.maximum(now, 1e-12)[:, None] - 1)
    return changed


def _scenarios(known: Known, limit: LimitSelection) -> Scenarios:
    u = np.quantile(taken_of(known.deaths), LOW_MIDDLE_HIGH)
    natural = np.quantile(known.deaths.m, LOW_MIDDLE_HIGH)
    lives = _middle(known.lives, natural)
    fishing = fishing_rate(u[:, None], natural)
    now = per_recruit(lives, fishing, known.now).weight_g
    rows = []
    for mm in sorted(limit.limits_mm):
        then = per_recruit(lives, fishing, known.rule(mm)).weight_g
        changed = 100 * np.divide(then - now, now, out=np.zeros_like(now), where=now > 0)
        rows += [
            Scenario(mm, float(m), changed[:, place].tolist()) for place, m in enumerate(natural)
        ]
    return Scenarios(u, rows)


def _middle(lives: Lives, natural: Floats) -> Lives:
    """Return lives at the middle of growth, one at each M."""
    return replace(
        lives,
        linf_mm=np.full(natural.size, np.median(lives.linf_mm)),
        k=np.full(natural.size, np.median(lives.k)),
        t0=np.full(natural.size, np.median(lives.t0)),
        m=natural,
    )


def _surface(known: Known, limits: Floats) -> Surface:
    """Return weight per recruit at every limit and exploitation, over all draws."""
    natural = float(np.median(known.deaths.m))
    fishing = np.concatenate([[0.0], fishing_rate(SURFACE_TAKEN[1:], natural)])
    grams = quantiles(yield_surface(known.lives, limits, fishing), (LOWER, 0.5, UPPER))
    return Surface(limits, grams)
