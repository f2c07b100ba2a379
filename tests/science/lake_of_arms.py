"""A lake of arms whose ages and lengths are known, to sample from."""

from dataclasses import dataclass

import numpy as np

from samples.science.worth import Survey, fit_prior_weight, prior_shares, survey_of

AGES = np.arange(1, 9)
BIN_MM = 25.4
EDGES = np.arange(4, 15) * BIN_MM


@dataclass(frozen=True, slots=True, eq=False)
class Lake:
    """True shares: of each bin in an arm, (arms, bins), and of ages in it, (arms, bins, ages)."""

    length_shares: np.ndarray
    shares: np.ndarray

    @property
    def age_shares(self) -> np.ndarray:
        return (self.length_shares[:, :, None] * self.shares).sum(axis=1)


def lake_of_arms(rng: np.random.Generator, arms: int = 5) -> Lake:
    """Draw arms of their own growth and year classes; fish shorter than the first bin are left."""
    joint = np.zeros((arms, EDGES.size, AGES.size))
    middles = EDGES + BIN_MM / 2
    for arm in range(arms):
        k, linf = rng.uniform(0.28, 0.5), rng.uniform(300, 370)
        classes = np.exp(-0.55 * AGES + rng.normal(0, 0.5, AGES.size))
        mean = linf * (1 - np.exp(-k * (AGES + 0.4)))
        away = (middles[:, None] - mean) / (0.09 * mean)
        joint[arm] = np.exp(-0.5 * away**2) / mean * classes
    joint /= joint.sum(axis=(1, 2), keepdims=True)
    of_bins = joint.sum(axis=2)
    return Lake(of_bins, joint / of_bins[:, :, None])


def draw_ages(rng: np.random.Generator, lake: Lake, fish: np.ndarray) -> np.ndarray:
    """Draw the ages of so many fish of each cell; (arms, bins, ages)."""
    cells = lake.shares.reshape(-1, AGES.size)
    drawn = [rng.multinomial(n, share) for n, share in zip(fish.ravel(), cells, strict=True)]
    return np.array(drawn).reshape(lake.shares.shape)


def draw_measured(rng: np.random.Generator, lake: Lake, each: int) -> np.ndarray:
    return np.array([rng.multinomial(each, share) for share in lake.length_shares])


def survey_of_counts(counts: np.ndarray, measured: np.ndarray) -> Survey:
    """Put a survey together as the page does, each arm's prior from the other arms."""
    prior = np.array([prior_shares(counts.sum(axis=0) - own + 1e-9) for own in counts])
    cells = counts.reshape(-1, counts.shape[-1])
    return survey_of(
        counts,
        measured,
        prior,
        mid_lengths=EDGES + BIN_MM / 2,
        ages=AGES,
        prior_weight=fit_prior_weight(cells, prior.reshape(cells.shape)),
    )
