"""What becomes of drawn otoliths when annuli are suggested on them."""

from dataclasses import dataclass

import numpy as np

from samples.science.annuli import BEYOND, brightness_profile, suggest_annuli
from samples.science.errors import CannotEstimate
from tests.benchmarks._drawn_otoliths import AGES, draw_otolith

# How far off a suggested mark may lie, as a share of the radius, or of the nearest gap if smaller.
NEAR, NEAR_OF_GAP = 0.03, 0.4


@dataclass(frozen=True)
class Outcome:
    """One otolith: its annuli, how many were suggested, and how many of these are no annuli."""

    age: int
    answered: bool
    suggested: int = 0
    found: int = 0

    @property
    def off_by(self):
        return abs(self.suggested - self.age)


def outcomes_of(count, difficulty, *, first_seed):
    """Draw so many otoliths, ages in turn, and suggest annuli on each."""
    ages = [AGES[place % len(AGES)] for place in range(count)]
    return [_outcome(age, difficulty, first_seed + place) for place, age in enumerate(ages)]


def _outcome(age, difficulty, seed):
    rng = np.random.default_rng(seed)
    drawn = draw_otolith(age, rng, difficulty)
    core, edge = drawn.clicked(rng)
    try:
        profile = brightness_profile(drawn.picture, core, edge, beyond=BEYOND)
        said = suggest_annuli(profile, beyond=BEYOND).positions
    except CannotEstimate:
        return Outcome(age, answered=False)
    found = _matched(np.array(said), drawn.annuli)
    return Outcome(age, answered=True, suggested=len(said), found=found)


def _matched(said, true):
    """Count true annuli that a suggestion lies on, each suggestion used once."""
    gaps = np.diff(np.concatenate([[0.0], true, [1.0]]))
    free = list(said)
    found = 0
    for place, at in enumerate(true):
        near = min(NEAR, NEAR_OF_GAP * max(gaps[place], gaps[place + 1]))
        hits = [one for one in free if abs(one - at) <= near]
        if hits:
            free.remove(min(hits, key=lambda one: abs(one - at)))
            found += 1
    return found
