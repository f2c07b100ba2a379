"""Measured rings of a reading: one an annulus, rising to the edge, replaced when set again."""

import pytest

from samples.lab.services import CannotRead, set_radii
from samples.models import Reading
from tests.lab.making import read


@pytest.fixture
def reading(vial, fish, reader):
    """Return a reading of three annuli."""
    return read(vial, reader, 3, 4).reading


def rings(reading):
    """Return what is kept: annulus and radius, innermost first, and the edge."""
    kept = Reading.objects.get(pk=reading.pk)
    return list(kept.radii.order_by("annulus").values_list("annulus", "radius_um")), kept.edge_um


def test_radii_are_kept_by_annulus_with_the_edge(reading):
    set_radii(reading, [400, 700, 900], edge_um=950)

    assert rings(reading) == ([(1, 400), (2, 700), (3, 900)], 950)


def test_the_last_annulus_may_lie_at_the_edge(reading):
    set_radii(reading, [400, 700, 950], edge_um=950)

    assert rings(reading) == ([(1, 400), (2, 700), (3, 950)], 950)


def test_the_edge_need_not_have_been_measured(reading):
    set_radii(reading, [400, 700, 900], edge_um=None)

    assert rings(reading) == ([(1, 400), (2, 700), (3, 900)], None)


def test_a_fish_of_the_year_has_an_edge_alone(vial, fish, reader):
    reading = read(vial, reader, 0, None).reading

    set_radii(reading, [], edge_um=210)

    assert rings(reading) == ([], 210)


@pytest.mark.parametrize("radii", [[], [400, 700], [400, 700, 900, 940]])
def test_another_number_than_was_counted_is_refused(reading, radii):
    with pytest.raises(CannotRead) as refused:
        set_radii(reading, radii, edge_um=950)

    assert (refused.value.code, refused.value.field) == ("radii_differ", "annuli")
    assert rings(reading) == ([], None)


@pytest.mark.parametrize(
    ("radii", "edge"),
    [
        pytest.param([400, 390, 900], 950, id="the second falls"),
        pytest.param([400, 700, 690], None, id="the last falls, no edge"),
        pytest.param([400, 700, 951], 950, id="past the edge"),
        pytest.param([400, 400, 900], 950, id="two on each other"),
        pytest.param([0, 700, 900], 950, id="at the nucleus"),
        pytest.param([-5, 700, 900], 950, id="below nothing"),
    ],
)
def test_radii_that_do_not_rise_are_refused(reading, radii, edge):
    with pytest.raises(CannotRead) as refused:
        set_radii(reading, radii, edge_um=edge)

    assert refused.value.code == "radii_fall"
    assert rings(reading) == ([], None)


def test_set_again_they_take_the_place_of_the_old(reading):
    set_radii(reading, [400, 700, 900], edge_um=950)

    set_radii(reading, [410, 720, 930], edge_um=980)

    assert rings(reading) == ([(1, 410), (2, 720), (3, 930)], 980)
    assert list(reading.history.order_by("history_id").values_list("edge_um", flat=True)) == [
        None,
        950,
        980,
    ]


def test_what_is_refused_leaves_the_old_in_place(reading):
    set_radii(reading, [400, 700, 900], edge_um=950)

    with pytest.raises(CannotRead):
        set_radii(reading, [400, 700, 600], edge_um=990)

    assert rings(reading) == ([(1, 400), (2, 700), (3, 900)], 950)


def test_rings_of_another_reading_stay(reading, vial, biologist):
    other = read(vial, biologist, 3, 4).reading
    set_radii(other, [300, 500, 800], edge_um=900)

    set_radii(reading, [400, 700, 900], edge_um=950)

    assert rings(other) == ([(1, 300), (2, 500), (3, 800)], 900)


def test_a_corrected_count_takes_its_rings_away(vial, reader, reading):
    """Rings measured for three annuli are none of four: they would stand in the wrong years."""
    set_radii(reading, [400, 700, 900], edge_um=950)

    read(vial, reader, 4, 4)

    assert rings(reading) == ([], None)


def test_another_margin_leaves_the_rings(vial, reader, reading):
    set_radii(reading, [400, 700, 900], edge_um=950)

    read(vial, reader, 3, 2)

    assert rings(reading)[1] == 950
