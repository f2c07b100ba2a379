"""The demo's lab: its readers marked what they counted, on otoliths whose annuli are known."""

import pytest

from samples.management.scenario.lab_room import annuli_as_counted
from samples.management.scenario.otolith_pictures import UM_PER_PX, draw_otolith

RADII_UM, EDGE_UM = (500, 900, 1_200), 1_350


@pytest.fixture(scope="module")
def drawn():
    return draw_otolith(RADII_UM, EDGE_UM, seed=1)


def test_an_otolith_is_drawn_at_the_scale_of_its_radii(drawn):
    assert [at * UM_PER_PX for at in drawn.annuli_px] == pytest.approx(RADII_UM)
    assert drawn.edge_px * UM_PER_PX == pytest.approx(EDGE_UM, rel=1e-3)


def test_a_reader_one_apart_missed_the_last_annulus_or_took_a_check_for_one(drawn):
    first, *others = drawn.annuli_px

    missed, more = (annuli_as_counted(drawn.annuli_px, count) for count in (2, 4))

    assert missed == drawn.annuli_px[:2]
    assert list(more[1:]) == [first, *others]
    assert 0 < more[0] < first


def test_nothing_is_marked_for_a_count_that_is_further_off(drawn):
    assert [annuli_as_counted(drawn.annuli_px, count) for count in (0, 1, 5)] == [()] * 3
