"""Growth curves against published fits and certified values."""

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.growth.compare import Group, compare_curves
from samples.science.growth.fit import fit_curve
from samples.science.growth.straight import fit_line
from tests.open_data import FISH, each_set_of_bass

# Kimura, D.K. (1980), Likelihood methods for the von Bertalanffy growth curve. Fish. Bull. (U.S.)
# 77:765-776, Pacific hake. Data and estimates from memory; fitting the data gives the published
# estimates to every digit, and R's nls the longer ones.
HAKE = {
    "female": (
        [1.0, 2.0, 3.3, 4.3, 5.3, 6.3, 7.3, 8.3, 9.3, 10.3, 11.3, 12.3, 13.3],
        [15.4, 28.03, 41.18, 46.2, 48.23, 50.26, 51.82, 54.27, 56.98, 58.93, 59.0, 60.91, 61.83],
        (61.23, 0.2963, -0.0573),
        (61.23329, 0.2962536, -0.0572628, 28.80038),
    ),
    "male": (
        [1.0, 2.0, 3.3, 4.3, 5.3, 6.3, 7.3, 8.3, 9.3, 10.3, 11.3],
        [15.4, 26.93, 42.23, 44.59, 47.63, 49.67, 50.87, 52.3, 54.77, 56.43, 55.88],
        (55.98, 0.3856, 0.1713),
        (55.97802, 0.3855842, 0.1713382, 19.42339),
    ),
}


@pytest.mark.parametrize("sex", HAKE)
def test_pacific_hake(sex):
    ages, lengths, printed, longer = HAKE[sex]

    found = fit_curve(ages, lengths)

    curve = (found.curve.linf_mm, found.curve.k, found.curve.t0)
    assert curve[0] == pytest.approx(printed[0], abs=0.005)
    assert curve[1:] == pytest.approx(printed[1:], abs=0.00005)
    assert (*curve, found.rss) == pytest.approx(longer, rel=1e-4)


def test_the_sexes_of_pacific_hake_differ():
    """Kimura (1980), as above: chi2 = N ln(RSS ratio); the common fit from SciPy by hand."""
    from scipy.optimize import curve_fit

    groups = [Group(sex, ages, lengths) for sex, (ages, lengths, *_) in HAKE.items()]
    ages = np.concatenate([group.times for group in groups])
    lengths = np.concatenate([group.lengths_mm for group in groups])

    def curve(t, whole, rate, zero):
        return whole * (1 - np.exp(-rate * (t - zero)))

    values, _ = curve_fit(curve, ages, lengths, p0=[58, 0.3, 0])
    common = np.sum((lengths - curve(ages, *values)) ** 2)

    found = compare_curves(groups)

    assert found.rss_separate == pytest.approx(48.22377, rel=1e-6)
    coincident = found.tests["coincident"]
    assert coincident.chi2 == pytest.approx(24 * np.log(common / 48.22377), rel=1e-5)
    assert coincident.df == 3
    assert coincident.p < 0.01
    # Fewer values in common never fit worse.
    for one in ("linf", "k", "t0"):
        assert 0 <= found.tests[one].chi2 <= coincident.chi2
        assert found.tests[one].df == 1


MISRA1A = (
    [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760],
    [
        10.07,
        14.73,
        17.94,
        23.93,
        29.61,
        35.18,
        40.02,
        44.82,
        50.76,
        55.05,
        61.01,
        66.4,
        75.47,
        81.78,
    ],
)


def test_misra1a():
    """NIST Statistical Reference Datasets, nonlinear regression, Misra1a: y = b1 (1 - exp(-b2 x)),
    certified values; the asymptote lies far past the data."""
    found = fit_curve(*MISRA1A, through_zero=True)

    assert found.curve.linf_mm == pytest.approx(2.3894212918e2, rel=1e-6)
    assert found.curve.k == pytest.approx(5.5015643181e-4, rel=1e-6)
    assert found.curve.t0 == 0
    assert found.se.linf_mm == pytest.approx(2.7070075241, rel=1e-4)
    assert found.se.k == pytest.approx(7.2668688436e-6, rel=1e-4)
    assert found.rss == pytest.approx(1.2455138894e-1, rel=1e-6)
    assert found.residual_sd == pytest.approx(1.0187876330e-1, rel=1e-6)
    assert [code for code, _ in found.warnings] == ["far_past_the_data"]


def test_boxbod():
    """NIST Statistical Reference Datasets, nonlinear regression, BoxBOD (higher difficulty): y =
    b1 (1 - exp(-b2 x)); certified values from memory."""
    days, oxygen = [1, 2, 3, 5, 7, 10], [109, 149, 149, 191, 213, 224]

    found = fit_curve(days, oxygen, through_zero=True, fewest=6)

    assert found.curve.linf_mm == pytest.approx(2.1380940889e2, rel=1e-6)
    assert found.curve.k == pytest.approx(5.4723748542e-1, rel=1e-6)
    assert found.se.linf_mm == pytest.approx(1.2354515176e1, rel=1e-4)
    assert found.se.k == pytest.approx(1.0455993237e-1, rel=1e-4)
    assert found.rss == pytest.approx(1.1680088766e3, rel=1e-6)


def test_carbon_dioxide_uptake():
    """R, stats::SSasympOff documentation example (CO2, plant Qn1); Pinheiro & Bates (2000)."""
    found = fit_curve(
        [95, 175, 250, 350, 500, 675, 1000],
        [16.0, 30.4, 34.8, 37.2, 35.3, 39.2, 39.7],
        fewest=7,
    )

    curve, se = found.curve, found.se
    assert (curve.linf_mm, curve.k, curve.t0) == pytest.approx(
        (38.13978, 0.01251727, 51.2232), rel=1e-4
    )
    assert (se.linf_mm, se.k, se.t0) == pytest.approx((0.916389, 0.00255546, 11.6698), rel=1e-4)
    assert found.residual_sd == pytest.approx(1.66264, rel=1e-4)
    assert found.df == 4


def test_a_pine_that_has_not_done_growing():
    """R, stats::SSasymp documentation example (Loblolly, seed 329): fitted, and warned about."""
    found = fit_curve([3, 5, 10, 15, 20, 25], [3.93, 9.34, 26.08, 37.79, 48.31, 56.43], fewest=6)

    curve = found.curve
    assert (curve.linf_mm, curve.k, curve.t0) == pytest.approx(
        (94.1282, 0.0400519, 2.09786), rel=1e-4
    )
    assert (found.se.linf_mm, found.se.k, found.se.t0) == pytest.approx(
        (8.40302, 0.00555054, 0.203175), rel=1e-4
    )
    [(code, sentence)] = found.warnings
    assert code == "far_past_the_data"
    assert " 1.7 times " in sentence


def test_a_season_of_growth_bends_the_plain_curve():
    """With Linf 320, K 0.4, t0 -0.1 the plain curve says 241.4 mm at 3.41 years and 255.7 at
    3.91: worked out by hand for the design of the growth clock."""
    ages = np.arange(1, 11)

    found = fit_curve(ages, 320 * (1 - np.exp(-0.4 * (ages + 0.1))))

    assert found.curve.length_at([3.41, 3.91]) == pytest.approx([241.4, 255.7], abs=0.05)


@each_set_of_bass
def test_smallmouth_of_one_lake_grow_in_a_line(make_file, tmp_path):
    bass = make_file(tmp_path)
    rows = bass.read()

    found = fit_line(rows[:, 0], rows[:, 1])

    assert (found.at_zero, found.per_year) == pytest.approx(bass.line, abs=0.0005)
    assert found.n == FISH


def test_a_line_that_does_not_level_off_is_refused_as_a_curve():
    ages = np.repeat(np.arange(1.0, 9.0), 3)

    with pytest.raises(CannotEstimate) as refused:
        fit_curve(ages, 65.527 + 30.324 * ages)

    assert refused.value.code == "straight"
