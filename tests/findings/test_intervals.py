"""What is published of the intervals of mortality is what its benchmark finds."""

import pytest

from samples.findings.topics.intervals import FOUND, calibration
from tests.benchmarks import calibrate

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
