"""The age structure of a sample by its key, for what every topic that rests on it analyses."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from samples.findings.sample import Floats, Sample
from samples.science.age_length_key import (
    AgeLengthKey,
    AgeStructure,
    ResampledStructure,
    age_structure,
    observed_key,
    resample_parties,
)

DRAWS = 1_000


def key_of(sample: Sample, lower_edges: Floats) -> AgeLengthKey:
    """Count the aged fish of a sample by bin and age, over the fish measured at random.

    Fish that were picked for their size stand in the key; the lengths of the lake they do not tell.

    :raises CannotEstimate: where there are too few of them
    """
    aged = sample.where(sample.aged)
    lengths = sample.length_mm[sample.of_sample]
    return observed_key(aged.length_mm, aged.age, lengths, lower_edges=lower_edges)


def structure_of(
    sample: Sample,
    *,
    lower_edges: Floats,
    rng: np.random.Generator,
    redrawn: Sequence[Sample] = (),
) -> tuple[AgeLengthKey, AgeStructure, ResampledStructure]:
    """Work out the age structure of a sample and its resamples by party.

    :param redrawn: the same fish with true ages drawn anew; the resamples are of all of them
    :raises CannotEstimate: where there are too few fish
    """
    key = key_of(sample, lower_edges)
    several = [_within(one, key) for one in redrawn] or [sample]
    drawn = [
        _resampled(one, key_of(one, lower_edges), rng, DRAWS // len(several)) for one in several
    ]
    return key, age_structure(key), _pooled(drawn, key)


def _within(sample: Sample, key: AgeLengthKey) -> Sample:
    """Return the sample with the few ages outside those of the key moved to the next of them."""
    ages = np.clip(sample.age, key.ages[0], key.ages[-1])
    return replace(sample, age=np.where(sample.aged, ages, sample.age))


def _resampled(
    sample: Sample, key: AgeLengthKey, rng: np.random.Generator, draws: int
) -> ResampledStructure:
    return resample_parties(
        key,
        rng,
        lengths=np.maximum(sample.length_mm, 1.0),
        ages=sample.age,
        parties=sample.party,
        draws=draws,
        of_sample=sample.of_sample,
    )


def _pooled(several: list[ResampledStructure], key: AgeLengthKey) -> ResampledStructure:
    """Return the resamples of all, at the ages of the key."""
    if len(several) == 1:
        return several[0]
    numbers = [np.zeros((one.numbers.shape[0], key.ages.size)) for one in several]
    for one, row in zip(several, numbers, strict=True):
        row[:, one.ages - key.ages[0]] = one.numbers
    unknown = np.concatenate([one.no_age_known for one in several])
    return ResampledStructure(key.ages, np.concatenate(numbers), unknown)


def as_classes(sample: Sample) -> Sample:
    """Count every age as on the first day of the season's fish: a season may cross New Year.

    Fish of one year class that were caught before and after New Year then stand together.
    """
    dated = sample.year[sample.year > 0]
    first = int(dated.min(initial=0)) if not dated.size else int(dated.min())
    older = np.where(sample.year > 0, sample.year - first, 0)
    age = np.where(sample.age >= 0, np.maximum(sample.age - older, 0), sample.age)
    return replace(sample, age=age)
