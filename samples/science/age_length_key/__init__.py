"""Age-length key: what age a fish of a length is, and what ages the measured fish are."""

from samples.science.age_length_key.drawn import NO_AGE, DrawnAges, draw_ages
from samples.science.age_length_key.observed import (
    AgeLengthKey,
    Shares,
    key_from_counts,
    observed_key,
    softened_shares,
)
from samples.science.age_length_key.resampled import (
    ResampledStructure,
    resample_fish,
    resample_parties,
)
from samples.science.age_length_key.smoothed import (
    LogitFit,
    SmoothedKey,
    multinomial_logit,
    smoothed_key,
)
from samples.science.age_length_key.structure import AgeStructure, age_structure, numbers_at_age

__all__ = [
    "NO_AGE",
    "AgeLengthKey",
    "AgeStructure",
    "DrawnAges",
    "LogitFit",
    "ResampledStructure",
    "Shares",
    "SmoothedKey",
    "age_structure",
    "draw_ages",
    "key_from_counts",
    "multinomial_logit",
    "numbers_at_age",
    "observed_key",
    "resample_fish",
    "resample_parties",
    "smoothed_key",
    "softened_shares",
]
