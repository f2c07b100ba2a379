"""What is published of the intervals of mortality is what its benchmark finds."""

import pytest

from samples.findings.topics.growth import intervals as growth_intervals
from samples.findings.topics.intervals import FOUND, calibration
from tests.benchmarks import calibrate, calibrate_figures, calibrate_growth

THREE, STEADY = calibrate.CASES[1], next(c for c in calibrate.CASES if "steady" in c.name)


@pytest.mark.parametrize(("case", "name"), [(THREE, "3 seasons"), (STEADY, "steady recruitment")])
def test_a_few_of_the_lakes_say_the_same(case, name):
    """The first twelve of the 200 lakes of a case."""
    of_z, of_classes = calibrate.results_of(case, 12)

    assert of_z.ours >= FOUND[name][0] - 0.2
    assert of_classes.ours == pytest.approx(FOUND[name][2], abs=0.08)


def test_every_case_but_the_trend_is_near_what_it_promises():
    steady = {name: found for name, found in FOUND.items() if "rises" not in name}

    assert [name for name, found in FOUND.items() if found[0] < calibrate.LEAST] == []
    assert [name for name, found in steady.items() if found[2] < calibrate.LEAST] == []


def test_the_table_gives_every_case():
    assert len(calibration().rows) == len(FOUND)


@pytest.mark.parametrize(
    ("case", "name"),
    [
        ("3 season(s), year sd 0.15", "3 seasons, year sd 0.15"),
        ("1 season(s), year sd 0.3", "1 season, year sd 0.3"),
        ("harvested from 200 mm at F 1", "harvested from 200 mm at F 1"),
    ],
)
def test_a_few_of_the_lakes_say_the_same_of_growth(case, name):
    """The first thirty of the 500 lakes of a case."""
    of_length, _ = calibrate_growth.results_of(case, 30)

    assert of_length.ours == pytest.approx(growth_intervals.FOUND[name][0], abs=0.12)


def test_every_case_of_growth_that_misses_the_goal_is_said():
    short = {name for name, (held, _) in growth_intervals.FOUND.items() if held < 0.9}

    assert short == {
        "1 season, year sd 0.25",
        "1 season, year sd 0.3",
        "3 seasons, year sd 0.3",
        "good and poor years follow one another (AR 0.4)",
        "harvested from 200 mm at F 1",
    }
    assert "83% of the 95% intervals" in growth_intervals.harvest_text()
    assert len(growth_intervals.calibration().rows) == len(calibrate_growth.CASES)


class TestTooNarrow:
    def test_one_season_is_always_told_of(self):
        [words] = growth_intervals.too_narrow(1, 0.15)

        assert "84% to 90% of these 95% intervals held the truth" in words

    def test_several_seasons_only_where_years_differ_widely(self):
        assert growth_intervals.too_narrow(3, 0.15) == []
        [words] = growth_intervals.too_narrow(3, 0.31)
        assert "sd 0.31" in words
        assert "89% to 90% of the 95% intervals" in words


@pytest.mark.parametrize("name", [one for one in calibrate_figures.FIGURES if "limit" not in one])
def test_other_intervals_hold_the_truth_on_a_few_lakes(name):
    """The first twelve of 200: an interval that is far too narrow shows."""
    [found] = calibrate_figures.results_of(name, 12)

    assert found.ours >= 0.7
