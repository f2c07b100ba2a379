"""Scatter of one reading, by the fish that two readers read."""

from samples.findings.sample import METHODS, Pair
from samples.science.ageing_error import ReadingError, fit_reading_error
from samples.science.errors import CannotEstimate


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
