"""Draws as values of a table: a change, a share, years and a mean length, each with its range."""

import numpy as np

from samples.findings.page_model import PERCENT, Cell, Estimate, Missing, Share, in_words
from samples.findings.topics.query import TopicQuery
from samples.science.length_limit.fish_lives import Floats
from samples.science.length_limit.verdict import Judged

LOWER, UPPER = 0.025, 0.975
ENDS = (LOWER, 0.5, UPPER)


def change_cell(drawn: Floats, unit: str = "") -> Estimate:
    """Return a change, in percent, with its interval."""
    low, middle, high = (float(one) for one in 100 * np.quantile(drawn, ENDS))
    return Estimate(middle, low, high, unit=unit, signed=True)


def change_text(drawn: Floats) -> str:
    """Return the same as a sentence has it."""
    return change_cell(drawn, PERCENT).text


def share_cell(drawn: Floats, unit: str = "") -> Estimate:
    """Return a share, in percent, with its interval."""
    low, middle, high = (float(one) for one in 100 * np.quantile(drawn, ENDS))
    return Estimate(middle, low, high, unit=unit)


def range_cell(least: float, middle: float, most: float) -> Estimate:
    """Return a share of 1 as it was entered, in percent, with its range."""
    return Estimate(100 * middle, 100 * least, 100 * most, unit=PERCENT)


def years_cell(drawn: Floats) -> Estimate:
    """Return years with their interval; "never" where that belongs to it."""
    # No value between two draws: between a year and never there is none.
    low, middle, high = (
        float(one) if np.isfinite(one) else in_words("never")
        for one in np.quantile(drawn, ENDS, method="inverted_cdf")
    )
    return Estimate(middle, low, high, decimals=1)


def mean_cell(query: TopicQuery, lengths_mm: Floats) -> Cell:
    """Return the mean length of the fish kept."""
    middle = float(np.median(lengths_mm))
    return query.length_cell(middle) if middle > 0 else in_words("none kept")


def probability_cell(judged: Judged | None) -> Cell:
    """Return the probability of an answer; draws can't show that it is certain."""
    if judged is None:
        return Missing("not judged")
    return Share(judged.probability) if 100 * judged.probability <= 99 else in_words("> 99")
