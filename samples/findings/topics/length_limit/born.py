"""Growth of all fish that were born, from those that anglers left."""

from dataclasses import replace

from samples.findings.topics.grown import Grown
from samples.science.arguments import Floats, Ints
from samples.science.errors import CannotEstimate
from samples.science.growth.resample import Draws
from samples.science.growth.survivors import born_fish
from samples.science.growth.year_effects import DrawnCurve


def grow_born(
    grown: Grown, chosen: Ints, fishing: Floats, fished_from_mm: float
) -> tuple[Grown, bool]:
    """Return the growth of all fish that were born; that of those left where they are too few.

    The other value returned says whether the fish that anglers took are counted in.

    :param chosen: places of the draws of growth that stand beside each draw of F
    """
    every = grown.draws
    draws = Draws(
        every.linf_mm[chosen],
        every.k[chosen],
        every.t0[chosen],
        chosen.size,
        every.warnings,
    )
    left = DrawnCurve(grown.curve, draws)
    try:
        born = born_fish(
            left,
            fishing,
            grown.clock,
            grown.sample.length_mm,
            fished_from_mm=fished_from_mm,
            weights=grown.weights,
            kept_from_mm=grown.kept_mm,
        )
    except CannotEstimate:
        return replace(grown, average=left), False
    spread = replace(grown.spread, cv=grown.spread.cv * born.spread)
    return replace(grown, average=born.grown, spread=spread), True
