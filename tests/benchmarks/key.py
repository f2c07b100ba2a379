"""The key: a thousand resamples of aged and measured fish, against a loop over drawn indices."""

import numpy as np

from samples.management.timing import BenchmarkResult, in_turn
from samples.science.age_length_key import observed_key, resample_fish

NAME = "key"
FISH, PER_BIN, RESAMPLES = 1_000, 15, 1_000
WIDTH = 25.4
LOOPED = 100
GOAL = 25
EQUAL = 0.05


def run():
    rng = np.random.default_rng(1)
    ages = rng.choice(np.arange(1, 9), FISH, p=[0.25, 0.22, 0.18, 0.13, 0.09, 0.06, 0.04, 0.03])
    lengths = 330 * (1 - np.exp(-0.35 * (ages + 0.4))) * (1 + 0.09 * rng.normal(size=FISH))
    bins = (lengths // WIDTH).astype(int)
    aged = np.concatenate(
        [rng.permutation(np.flatnonzero(bins == one))[:PER_BIN] for one in np.unique(bins)]
    )
    edges = np.arange(bins.max() + 1) * WIDTH + 1e-9
    key = observed_key(lengths[aged], ages[aged], lengths, lower_edges=edges)
    fish_of = [aged[bins[aged] == place] for place in range(edges.size)]

    def loop(count=LOOPED):
        rng = np.random.default_rng(2)
        return np.array([_one(rng, bins, ages, fish_of, key.ages) for _ in range(count)])

    def ours():
        return resample_fish(key, np.random.default_rng(2), draws=RESAMPLES).shares

    apart = np.max(np.abs(ours().mean(axis=0) - loop(RESAMPLES).mean(axis=0)))
    if apart > EQUAL:
        raise RuntimeError(f"the shares differ by {apart:.3f}: this measured something else")
    mine, floor = in_turn(ours, loop, rounds=15, warm=2)
    floor *= RESAMPLES / LOOPED
    return [
        BenchmarkResult(
            f"{NAME}: {RESAMPLES} resamples of {FISH} measured and {aged.size} aged fish",
            mine,
            floor,
            "ms",
            f"at most 1/{GOAL} of a loop over drawn indices",
            met=mine * GOAL <= floor,
        )
    ]


def _one(rng, bins, ages, fish_of, columns):
    """Draw measured fish and, bin by bin, aged ones; count by plain arrays."""
    drawn = np.bincount(bins[rng.integers(0, bins.size, bins.size)], minlength=len(fish_of))
    number = np.zeros(columns.size)
    for place, fish in enumerate(fish_of):
        if fish.size and drawn[place]:
            again = ages[fish[rng.integers(0, fish.size, fish.size)]]
            number += (
                drawn[place] * np.bincount(again - columns[0], minlength=columns.size) / fish.size
            )
    return number / bins.size
