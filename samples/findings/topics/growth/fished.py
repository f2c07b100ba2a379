"""Growth with the fish counted in that anglers took, where it is known how many they take."""

from dataclasses import replace

import numpy as np

from samples.findings.entered import Entered
from samples.findings.topics.fishing_inputs import (
    CannotJudge,
    deaths_of,
    kept_from_of,
    natural_of,
    total_of,
)
from samples.findings.topics.grown import Grown
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.growth.survivors import born_fish


def count_in_taken(study: Study, group: FishGroup, one: Grown, entered: Entered) -> Grown:
    """Return the growth of all fish that were born, if M or tags were entered.

    Anglers take the fast growers first, so a curve of the fish that are left is that of the slower
    ones. Where nothing tells how many are taken, or too few fish, it stays as it is.
    """
    external = entered.of(group.species, group.arm)
    if external.natural is None and not external.tags:
        return one
    rng = study.rng
    try:
        kept_from = kept_from_of(one, external).mm
        natural = natural_of(rng, one, external)
        total = None if external.tags else total_of(study, group)
        deaths = deaths_of(rng, natural, total, external)
        born = born_fish(
            one.average,
            rng.choice(deaths.f, one.draws.k.size),
            one.clock,
            one.sample.length_mm,
            fished_from_mm=max(external.minimum_mm, kept_from),
            weights=one.weights,
            kept_from_mm=one.kept_mm,
        )
    except (CannotEstimate, CannotJudge):
        return one
    return replace(
        one,
        average=born.grown,
        recent=born.moved(one.recent),
        spread=replace(one.spread, cv=one.spread.cv * born.spread),
        fishing=float(np.median(deaths.f)),
    )
