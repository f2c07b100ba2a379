"""Ageing error by the fish that two readers read, and what it does to the shares of ages."""

import numpy as np

from samples.findings.page_model import (
    DOT,
    Cell,
    Column,
    Count,
    Share,
    Table,
    Text,
    percent_interval,
)
from samples.findings.topics.query import TopicQuery
from samples.findings.topics.reading_error import reading_error_of, redraw_cvs
from samples.science.age_length_key import AgeStructure, ResampledStructure
from samples.science.ageing_error import (
    BEYOND,
    ReadingError,
    agreed_shares,
    reading_shares,
    true_age_shares,
)

DRAWN_ROWS = 300
AGES_SHOWN = (1, 2, 3, 4, 5, 6, 8, 10)
LEAST_SHOWN = 0.005
PRECISION_ONLY = (
    "This is precision only: readers who make the same error agree. Known-age fish are needed to "
    "show accuracy."
)


def error_table(query: TopicQuery) -> list[Table]:
    """Return the CV of one reading, and how often a reading of each age is right."""
    found = reading_error_of(query.loaded.pairs)
    if found is None:
        return []
    oldest = max(AGES_SHOWN) + BEYOND
    ends = [np.diag(reading_shares(cv, oldest)) for cv in (found.cv, found.upper, found.lower)]
    rows = [
        [
            Count(age),
            Share(float(ends[0][age])),
            percent_interval(float(ends[1][age]), float(ends[2][age]), 0),
        ]
        for age in AGES_SHOWN
    ]
    return [
        Table(
            name="ageing-error",
            caption=f"Ageing error: CV of one reading {100 * found.cv:.1f}% "
            f"(95% CI {100 * found.lower:.1f}-{100 * found.upper:.1f}), {found.pairs} fish",
            columns=[
                Column("True age", unit="years"),
                Column("Correct readings, %", "Correct readings", "%"),
                Column("95% CI, %", "Correct readings", "%"),
            ],
            rows=rows,
            note="Readings scatter about the age as a normal in whole years with a constant CV "
            "(Richards et al. 1992; Punt et al. 2008). Both readers are taken as unbiased. "
            f"{PRECISION_ONLY}",
            folded=True,
        )
    ]


def error_matrix(query: TopicQuery) -> list[Table]:
    """Return the matrix that other findings use: of each true age, the share read as each age."""
    found = reading_error_of(query.loaded.pairs)
    if found is None:
        return []
    oldest = max(AGES_SHOWN)
    shares = reading_shares(found.cv, oldest + BEYOND)
    return [
        Table(
            name="ageing-error-matrix",
            caption="Ageing error matrix: of 100 fish of a true age, how many are read as each age",
            columns=[
                Column("True age", unit="years"),
                *[
                    Column(f"{age}", f"Read as age {age}", "%")
                    for age in range(oldest + BEYOND + 1)
                ],
            ],
            rows=[
                [Count(age), *[_share(float(one)) for one in shares[age]]]
                for age in range(1, oldest + 1)
            ],
            note="Rows add up to 100%; age 0 is taken to be read as 0. Age structure and year "
            f"classes use the same matrix to take ageing error out. {PRECISION_ONLY}",
            folded=True,
        )
    ]


def _share(share: float) -> Cell:
    """Return a share; less than half a percent is a point, so that the others stand out."""
    return Share(share) if share >= LEAST_SHOWN else Share(share, shown=DOT)


def shares_table(
    query: TopicQuery, found: list[tuple[str, AgeStructure, ResampledStructure]]
) -> list[Table]:
    """Set the shares of ages as read beside those without ageing error; of no group, nothing."""
    error = reading_error_of(query.loaded.pairs)
    if error is None or not found:
        return []
    agreed = bool(2 * query.sample.agreed.sum() >= query.sample.aged.sum())
    rows = [
        row
        for name, structure, drawn in found
        for row in _rows(name, structure, drawn, error, query.rng, agreed=agreed)
    ]
    by = "two readers agreed on" if agreed else "one reader gave"
    return [
        Table(
            name="shares-without-error",
            caption="Age structure with ageing error taken out",
            columns=[
                Column(query.what),
                Column("Age", unit="years"),
                Column("As read, %", "Share as read", "%"),
                Column("Without ageing error, %", "Share without ageing error", "%"),
                Column("95% CI, %", "Share without ageing error", "%"),
            ],
            rows=rows,
            note=f"Most of these ages are ages that {by}. CV of one reading: "
            f"{100 * error.cv:.1f}% (95% CI {100 * error.lower:.1f}-{100 * error.upper:.1f}), from "
            f"{error.pairs} fish read twice. Fish are drawn back from the age read to the true age "
            "by Bayes' rule; the interval holds trips, fish and the CV. Other pages use ages as "
            f"read. {PRECISION_ONLY}",
            folded=True,
        )
    ]


def _rows(
    name: str,
    structure: AgeStructure,
    drawn: ResampledStructure,
    error: ReadingError,
    rng: np.random.Generator,
    *,
    agreed: bool,
) -> list[list[Cell]]:
    table_of = agreed_shares if agreed else reading_shares
    oldest = int(structure.ages[-1]) + BEYOND
    size = oldest + 1
    read = np.zeros(size)
    read[structure.ages] = structure.numbers
    without = true_age_shares(read, table_of(error.cv, oldest))
    count = min(DRAWN_ROWS, drawn.numbers.shape[0])
    several = np.zeros((count, size))
    several[:, structure.ages] = drawn.numbers[:count]
    cvs = redraw_cvs(error, rng)
    parts = np.array_split(several, cvs.size)
    each = [
        true_age_shares(part, table_of(float(cv), oldest))
        for part, cv in zip(parts, cvs, strict=True)
    ]
    lower, upper = np.quantile(np.concatenate(each), (0.025, 0.975), axis=0)
    as_read = read / read.sum()
    return [
        [
            Text(name),
            Count(age),
            Share(float(as_read[age]), 1),
            Share(float(without[age]), 1),
            percent_interval(float(lower[age]), float(upper[age])),
        ]
        for age in range(size)
        if as_read[age] > 0 or without[age] >= 0.005
    ]
