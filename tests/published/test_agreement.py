"""Agreement of readers against published formulas and tables."""

import numpy as np
import pytest
from statsmodels.stats.contingency_tables import SquareTable

from samples.science.agreement import agreement, precision, symmetry

THREE = [[2, 2, 2], [3, 3, 4], [4, 5, 5], [1, 1, 1], [6, 5, 7], [3, 2, 3]]


def test_percent_error_and_variation_of_three_readings():
    """Beamish & Fournier (1981), Can. J. Fish. Aquat. Sci. 38:982-983; Chang (1982), same journal
    39:1208-1210: formulas from memory, values by hand."""
    found = precision(THREE)

    assert found.ape_by_fish == pytest.approx([0, 13.3333, 9.52381, 0, 11.1111, 16.6667], rel=1e-5)
    assert found.cv_by_fish == pytest.approx([0, 17.3205, 12.3718, 0, 16.6667, 21.6506], rel=1e-5)
    assert (found.ape, found.cv) == pytest.approx((8.439153, 11.334934), rel=1e-6)
    assert found.all_agree == pytest.approx(33.3333, rel=1e-5)


@pytest.mark.parametrize(
    ("first", "second", "exact", "within_1"),
    [(0, 1, 50, 100), (0, 2, 50, 100), (1, 2, 50, 83.33333)],
)
def test_percent_agreement_of_pairs(first, second, exact, within_1):
    """The same readings, counted by hand."""
    readings = np.array(THREE)

    found = agreement(readings[:, first], readings[:, second])

    assert (found.exact, found.within_1) == pytest.approx((exact, within_1), rel=1e-6)


def test_of_two_readings_one_measure_is_root_two_of_the_other():
    """Campana (2001), J. Fish Biol. 59:197-242: the two are functionally equivalent."""
    found = precision([[2, 2], [3, 3], [4, 5], [1, 1], [6, 5], [3, 2]])

    assert (found.ape, found.cv) == pytest.approx((6.700337, 9.475707), rel=1e-6)
    assert found.cv / found.ape == pytest.approx(np.sqrt(2), rel=1e-12)


VISION = [[1520, 266, 124, 66], [234, 1512, 432, 78], [117, 362, 1772, 205], [36, 82, 179, 492]]


def test_bowkers_test_of_7477_women():
    """Stuart (1955), unaided distance vision; Bowker (1948), J. Am. Stat. Assoc. 43:572-574."""
    cell_by_cell = symmetry(VISION)[1]

    assert cell_by_cell.chi2 == pytest.approx(19.10655, abs=0.0005)
    assert cell_by_cell.df == 6
    assert cell_by_cell.p == pytest.approx(0.003987, abs=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_cell_by_cell_is_the_test_of_a_library(seed):
    """statsmodels, SquareTable.symmetry."""
    table = np.random.default_rng(seed).poisson(6, (5, 5)) + 1
    expected = SquareTable(table, shift_zeros=False).symmetry()

    found = symmetry(table)[1]

    assert found.chi2 == pytest.approx(expected.statistic)
    assert found.df == expected.df
    assert found.p == pytest.approx(expected.pvalue)


def test_three_tests_of_a_small_table():
    """Evans & Hoenig (1998), Biometrics 54:620-629, Bowker (1948), McNemar (1947): formulas from
    memory, values by hand: d1 (9 - 17)^2 / 26, d2 (1 - 0)^2 / 1."""
    table = [[20, 3, 0, 0], [5, 30, 4, 1], [0, 8, 25, 2], [0, 0, 4, 10]]

    by_difference, by_cell, pooled = symmetry(table)

    assert by_difference.chi2 == pytest.approx(3.461538, rel=1e-6)
    assert by_difference.df == 2
    assert by_difference.p == pytest.approx(0.177148, abs=1e-6)
    assert by_cell.chi2 == pytest.approx(3.5)
    assert by_cell.df == 4
    assert by_cell.p == pytest.approx(0.477878, abs=1e-6)
    assert pooled.chi2 == pytest.approx(1.814815, rel=1e-6)
    assert pooled.p == pytest.approx(0.177932, abs=1e-6)
