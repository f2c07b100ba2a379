"""How many fish die, and from which length anglers take them: what growth and limits rest on."""

from dataclasses import dataclass

import numpy as np

from samples.findings.entered import CreelInput, Elsewhere
from samples.findings.sample import Floats
from samples.findings.topics.died import Died, die
from samples.findings.topics.fishing import tags_of
from samples.findings.topics.grown import Grown
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.length_limit.inputs import (
    Deaths,
    deaths_by_tags,
    deaths_by_total,
    natural_by_thumb,
    natural_from_shares,
    taken_by_tags,
)
from samples.science.rates import natural_from_growth

DRAWS = 1_000


class CannotJudge(Exception):
    """Fish or figures are missing that an answer rests on; the page has the words for it.

    Attributes
    ----------
    code : str
        "no_kept_length", "no_fishing", "few_aged" or "few_in_curve".
    counts : dict of str to int
        Fish that the words name.
    """

    def __init__(self, code: str, **counts: int) -> None:
        super().__init__(code)
        self.code = code
        self.counts = counts


@dataclass(frozen=True, slots=True)
class KeptFrom:
    """Length at which anglers begin to keep fish, by a creel survey or by the fish they kept."""

    mm: float
    creel: CreelInput | None = None


def kept_from_of(grown: Grown, external: Elsewhere) -> KeptFrom:
    """Return the length at which anglers begin to keep fish.

    :raises CannotJudge: no_kept_length
    """
    if grown.kept_from_mm is not None:
        return KeptFrom(grown.kept_from_mm)
    if external.creel and external.creel.smallest_kept_mm:
        return KeptFrom(external.creel.smallest_kept_mm, external.creel)
    raise CannotJudge("no_kept_length")


def total_of(study: Study, group: FishGroup) -> Died | None:
    """Return all death by the ages of the fish, where they tell it."""
    try:
        return die(study, group.name, group.sample, leave_out=False)
    except CannotEstimate:
        return None


def natural_of(rng: np.random.Generator, grown: Grown, external: Elsewhere) -> Floats:
    """Draw M: as entered, or by a rule of thumb from growth."""
    entered = external.natural
    if entered is None:
        curve = grown.curve
        return natural_by_thumb(rng, DRAWS, natural_from_growth(curve.linf_mm, curve.k))
    return natural_from_shares(
        rng, DRAWS, least=entered.least, middle=entered.middle, most=entered.most
    )


def deaths_of(
    rng: np.random.Generator, natural: Floats, total: Died | None, external: Elsewhere
) -> Deaths:
    """Draw fishing beside natural death: by tags, else what natural death leaves of all death.

    :raises CannotJudge: no_fishing
    :raises CannotEstimate: where too few draws can be so
    """
    if external.tags:
        taken = taken_by_tags(rng, natural.size, [tags_of(one) for one in external.tags])
        return deaths_by_tags(rng, natural, taken)
    if total is None:
        raise CannotJudge("no_fishing")
    return deaths_by_total(rng, natural, rng.choice(total.drawn, natural.size))
