"""Growth with the fish counted in that anglers took, where it is known how many they take."""

from dataclasses import replace

import numpy as np

from samples.findings.topics.grown import Grown
from samples.findings.topics.length_limit import inputs
from samples.findings.topics.query import FishGroup, TopicQuery
from samples.science.errors import CannotEstimate
from samples.science.growth.survivors import born_fish


def count_in_taken(query: TopicQuery, grown: list[Grown]) -> list[Grown]:
    """Return the growth of all fish that were born: of groups for which M or tags were entered.

    Anglers take the fast growers first, so a curve of the fish that are left is that of the slower
    ones. Where nothing tells how many are taken, or too few fish, it stays as it is.
    """
    groups = {one.name: one for one in query.stocks()}
    return [_with_taken(query, groups[one.name], one) for one in grown]


def _with_taken(query: TopicQuery, group: FishGroup, one: Grown) -> Grown:
    external = query.loaded.entered.of(group.species, group.arm)
    if external.natural is None and not external.tags:
        return one
    rule = external.regulation
    rule_mm = (rule.minimum_length_hundredths_mm or 0) / 100 if rule else 0.0
    rng = query.rng
    try:
        kept_from, _ = inputs.kept_from_of(query, one, external)
        natural, _ = inputs.natural_of(rng, one, external)
        total = None if external.tags else inputs.total_of(query, group)
        deaths, _ = inputs.deaths_of(rng, natural, total, external)
        born = born_fish(
            one.average,
            rng.choice(deaths.f, one.draws.k.size),
            one.clock,
            one.sample.length_mm,
            fished_from_mm=max(rule_mm, kept_from),
            weights=one.weights,
            kept_from_mm=one.kept_mm,
        )
    except CannotEstimate:
        return one
    return replace(
        one,
        average=born.grown,
        recent=born.moved(one.recent),
        spread=replace(one.spread, cv=one.spread.cv * born.spread),
        fishing=float(np.median(deaths.f)),
    )
