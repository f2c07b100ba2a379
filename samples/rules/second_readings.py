"""Which otoliths are read a second time: a random share of each arm and length bin.

The draw looks at nothing but the order in which vials were first read, so it does not know how
hard one was. Within a stratum it is systematic with a random start (Cochran 1977, Sampling
Techniques, 3rd ed., ch. 8): each vial has the same chance, and no small stratum is left out for
long or takes all.
"""

from math import floor
from random import Random


def start_of(seed: int, *stratum: int) -> float:
    """Return where the draw of one stratum starts, 0 to below 1; the same seed gives the same."""
    drawn = Random(f"{seed}/{'/'.join(map(str, stratum))}")  # noqa: S311 - drawn again at will
    return drawn.random()


def is_drawn(place: int, percent: int, start: float) -> bool:
    """Return whether the vial at a place of its stratum, from 1 on, is read a second time."""
    share = percent / 100
    return floor(place * share + start) > floor((place - 1) * share + start)
