"""Scatter of one reading, by the fish that two readers read."""

import numpy as np

from samples.findings.sample import METHODS, Floats, Pair
from samples.science.ageing_error import ReadingError, fit_reading_error
from samples.science.errors import CannotEstimate

# CVs that an interval is pooled over.
REDRAWN = 10
HALF_95 = 1.959964


def reading_error_of(pairs: list[Pair]) -> ReadingError | None:
    """Estimate it from every two readers of the same fish; nothing where they are too few.

    Comparisons of methods are no second readings and stay out.
    """
    readers = [one for one in pairs if one.names[0] not in METHODS]
    first = [age for one in readers for age in one.first]
    second = [age for one in readers for age in one.second]
    try:
        return fit_reading_error(first, second)
    except CannotEstimate:
        return None


def redraw_cvs(error: ReadingError, rng: np.random.Generator) -> Floats:
    """Return CVs drawn as the interval says, on the scale of their logarithm."""
    spread = np.log(error.upper / error.lower) / (2 * HALF_95)
    return np.asarray(error.cv * np.exp(rng.normal(0, spread, REDRAWN)), dtype=np.float64)
