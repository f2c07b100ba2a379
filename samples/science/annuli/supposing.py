"""Which rings to suppose on a radius: from first guesses to what explains it best."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from samples.science.annuli.growth import MOST_ANNULI
from samples.science.annuli.rings import ANNULUS, CHECK, MOST_RINGS, PLACES, STEP, Radius, Rings
from samples.science.arguments import Floats

ROUNDS = 6
# Of each number of annuli, so many suppositions are changed in a round, and more are weighed.
CHANGED, WEIGHED = 3, 8
# What is less likely than the best by this, as a logarithm, is not changed any more.
HOPELESS = 14.0
SHIFTS = (-5, -2, -1, 1, 2, 5)
CLOSEST = 3


@dataclass(frozen=True, slots=True)
class Likeliest:
    """The best supposition of each number of annuli, and log weights by the number.

    ``unseen`` is the weight of the same with one more annulus at the edge that does not show.
    """

    rings: dict[int, Rings]
    seen: Floats
    unseen: Floats


class _Found:
    def __init__(self, radius: Radius) -> None:
        self.radius = radius
        self.seen: dict[Rings, float] = {}
        self.unseen: dict[Rings, float] = {}
        self.fits: dict[Rings, Floats] = {}

    def weigh(self, rings: Iterable[Rings]) -> None:
        new = [one for one in rings if one not in self.seen]
        if not new:
            return
        scores = self.radius.score(new)
        for place, one in enumerate(new):
            self.seen[one] = float(scores.seen[place])
            self.unseen[one] = float(scores.unseen[place])
            self.fits[one] = scores.fits[place]

    def best_by_count(self) -> dict[int, list[Rings]]:
        """Return the suppositions of each number of annuli, the likeliest first."""
        found: dict[int, list[Rings]] = {}
        for one in sorted(self.seen, key=lambda one: (-self.seen[one], sorted(one))):
            found.setdefault(_annuli(one), []).append(one)
        return found


def likeliest_rings(radius: Radius, guesses: Iterable[Rings]) -> Likeliest:
    """Change guesses ring by ring, as long as that explains the radius better."""
    found = _Found(radius)
    found.weigh(sorted(set(guesses), key=sorted))
    clearest = radius.clearest_places()
    changed: set[Rings] = set()
    for _ in range(ROUNDS):
        best = max(found.seen.values())
        parents = [
            one
            for rows in found.best_by_count().values()
            for one in rows[:CHANGED]
            if one not in changed and found.seen[one] >= best - HOPELESS
        ]
        changed.update(parents)
        children = _children(parents, clearest, found)
        if not children:
            break
        fits = np.array([found.fits[parent] for parent in children.values()])
        scores, annuli = radius.score_at(list(children), fits)
        order = np.argsort(-scores, kind="stable")
        kept: dict[int, list[Rings]] = {}
        rings = list(children)
        for place in order:
            kept.setdefault(int(annuli[place]), []).append(rings[place])
        found.weigh(one for rows in kept.values() for one in rows[:WEIGHED])
    return _by_count(found)


def annuli_between_places(radius: Radius, rings: Rings) -> list[float]:
    """Return where annuli lie, as shares of the radius, more closely than places stand."""
    at = []
    for place, kind in sorted(rings):
        if kind != ANNULUS:
            continue
        shift = 0.0
        if 0 < place < PLACES.size - 1:
            rest = rings - {(place, kind)}
            beside = [rest | {(place + one, kind)} for one in (-1, 0, 1)]
            before, here, after = (float(one) for one in radius.score(beside).seen)
            bend = before - 2 * here + after
            shift = 0.0 if bend >= 0 else float(np.clip((before - after) / (2 * bend), -0.5, 0.5))
        at.append(float(PLACES[place] + shift * STEP))
    return at


def _by_count(found: _Found) -> Likeliest:
    seen = np.full(MOST_ANNULI + 1, -np.inf)
    unseen = np.full(MOST_ANNULI + 1, -np.inf)
    best = {}
    for count, rows in found.best_by_count().items():
        best[count] = rows[0]
        seen[count], unseen[count] = found.seen[rows[0]], found.unseen[rows[0]]
    return Likeliest(best, seen, unseen)


def _children(parents: list[Rings], clearest: list[int], found: _Found) -> dict[Rings, Rings]:
    """Return what is one step from a supposition and not weighed yet, with its parent."""
    children: dict[Rings, Rings] = {}
    for parent in parents:
        for one in _changes(parent, clearest):
            if one not in found.seen and _annuli(one) <= MOST_ANNULI:
                children.setdefault(one, parent)
    return children


def _changes(rings: Rings, clearest: list[int]) -> list[Rings]:
    """Take a ring away, call it the other thing, shift it, or add one where one is clear."""
    found: list[Rings] = []
    for place, kind in sorted(rings):
        rest = rings - {(place, kind)}
        found += [rest, rest | {(place, CHECK if kind == ANNULUS else ANNULUS)}]
        found += [
            rest | {(place + shift, kind)}
            for shift in SHIFTS
            if 0 <= place + shift < PLACES.size and _is_free(place + shift, rest)
        ]
    if len(rings) < MOST_RINGS - 1:
        for place in clearest:
            if _is_free(place, rings):
                found += [rings | {(place, ANNULUS)}, rings | {(place, CHECK)}]
    return found


def _is_free(place: int, rings: Rings) -> bool:
    return all(abs(place - other) >= CLOSEST for other, _ in rings)


def _annuli(rings: Rings) -> int:
    return sum(kind == ANNULUS for _, kind in rings)
