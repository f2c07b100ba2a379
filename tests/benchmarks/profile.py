"""Intervals of a growth curve at 3,000 and 30,000 fish.

The floor is what every K that is looked at costs any exact method: the exponentials of all fish,
and the three sums of them that a sum of squares is made of. Both are timed by the CPU's clock: the
wall's also counts what else the machine did.
"""

import time

import numpy as np

from samples.management.timing import BenchmarkResult, in_turn
from samples.science.growth.fit import fit_curve

NAME = "profile"
PASSES = 24 * 2
MOST = 12
ROUNDS = 9


def run():
    return [_measured(n) for n in (3_000, 30_000)]


def _measured(fish):
    rng = np.random.default_rng(1)
    times = rng.integers(1, 9, fish) + rng.uniform(0, 1, fish)
    lengths = np.round(
        320 * (1 - np.exp(-0.4 * (times + 0.1))) * (1 + 0.08 * rng.normal(size=fish))
    )

    weights = np.ones(fish)

    def floor():
        for k in np.geomspace(0.2, 0.8, PASSES):
            left = np.exp(-k * times)
            weighed = weights * left
            _ = weighed.sum(), weighed @ left, weighed @ lengths

    mine, least = in_turn(
        lambda: fit_curve(times, lengths), floor, rounds=ROUNDS, warm=1, clock=time.thread_time
    )
    return BenchmarkResult(
        f"{NAME}: a curve and its intervals, {fish} fish, against {PASSES} passes over them",
        mine,
        least,
        "ms",
        f"at most {MOST} times it",
        met=mine <= MOST * least,
    )
