"""What the answer about a length limit rests on beside ages: lengths kept, M, release death."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, F, QuerySet

from samples.models import Arm, Fish, NaturalDeath, Regulation, ReleaseDeath, Season
from samples.models.party import Method
from samples.targets.queries.choice import CoverageSelection
from samples.targets.queries.worth import PICKED_BY_SIZE

BY_ANGLERS = (Method.ANGLER_KEPT, Method.TOURNAMENT, Method.CREEL)
# A twentieth of the fish that anglers keep is shorter than where they begin to keep them.
KEPT_SHARE, FEWEST_KEPT = 0.05, 10
# Where nothing was entered. Common practice, no source.
USUAL_RELEASE_DEATH = 0.10


@dataclass(frozen=True, slots=True)
class LimitInputs:
    """By arm: where anglers begin to keep fish (mm), and M with its standard deviation.

    An arm that is not in them has none: too few kept fish, or M by growth. ``rule_mm`` is the
    limit in force, 0 where there is none.
    """

    kept_from_mm: dict[int, float]
    m: dict[int, tuple[float, float]]
    release_death: float
    rule_mm: float


def limit_inputs(
    fish: QuerySet[Fish],
    selection: CoverageSelection,
    arms: Iterable[Arm],
    earlier: Iterable[Season] = (),
) -> LimitInputs:
    """Fetch what was measured and entered for one species, an arm's own before the lake's.

    Kept fish are of this season and of earlier ones: what anglers keep changes slowly.
    """
    arm_ids = [arm.pk for arm in arms]
    kept = _kept_from(fish, selection, [selection.season, *earlier])
    of_species = {"lake": selection.lake, "species": selection.species}
    natural: dict[int | None, NaturalDeath] = {}
    for one in NaturalDeath.objects.filter(**of_species).order_by("-as_of", "-pk"):
        natural.setdefault(one.arm_id, one)
    release = [float(row.middle) for row in ReleaseDeath.objects.filter(**of_species)]
    return LimitInputs(
        kept_from_mm={arm: mm for arm in arm_ids if (mm := kept.get(arm) or kept.get(None))},
        m={
            arm: _m_of(row)
            for arm in arm_ids
            if (row := natural.get(arm) or natural.get(None)) is not None
        },
        release_death=max(release, default=USUAL_RELEASE_DEATH),
        rule_mm=_limit_in_force(selection),
    )


def _kept_from(
    fish: QuerySet[Fish], selection: CoverageSelection, seasons: list[Season]
) -> dict[int | None, float]:
    rows = (
        fish.filter(
            species=selection.species,
            season__in=seasons,
            withdrawn=False,
            method__in=BY_ANGLERS,
        )
        .exclude(party__how_chosen__in=PICKED_BY_SIZE)
        .order_by()
        .annotate(mm=F("length_hundredths_mm") / 100)
        .values_list("arm_id", "mm")
        .annotate(n=Count("*"))
    )
    by_arm: dict[int | None, list[tuple[int, int]]] = {}
    for arm, mm, n in rows:
        for key in (arm, None):
            by_arm.setdefault(key, []).append((mm, n))
    return {
        arm: _quantile(sorted(found))
        for arm, found in by_arm.items()
        if sum(n for _, n in found) >= FEWEST_KEPT
    }


def _quantile(counts: list[tuple[int, int]]) -> float:
    """Return the length under which the share of the kept fish is shorter."""
    left = KEPT_SHARE * sum(n for _, n in counts)
    for mm, n in counts:
        left -= n
        if left < 0:
            return float(mm)
    return float(counts[-1][0])


def _m_of(row: NaturalDeath) -> tuple[float, float]:
    """Return M and its standard deviation, from a range of the share that dies in a year."""
    low, mid, high = (-math.log1p(-float(one)) for one in (row.least, row.middle, row.most))
    # Of a triangular distribution.
    spread = low**2 + mid**2 + high**2 - low * mid - low * high - mid * high
    return mid, math.sqrt(max(spread, 0.0) / 18)


def _limit_in_force(selection: CoverageSelection) -> float:
    rules = Regulation.objects.filter(
        lake=selection.lake, in_force_from__lte=selection.season.ends_on
    ).order_by("-in_force_from", "-pk")
    own = [one for one in rules if one.species_id == selection.species.pk]
    newest = next(iter(own or [one for one in rules if one.species_id is None]), None)
    return (newest.minimum_length_hundredths_mm or 0) / 100 if newest else 0.0
