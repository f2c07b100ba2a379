"""Length samples: measured-only fish by arm and method against the aged fish of the arm."""

import numpy as np
import pytest

from samples.models import LengthCount
from tests.factories import build_fish, make_trip_like
from tests.findings.conftest import codes, numbers_in, rows_of, with_code
from tests.people import CAUGHT_ON, INCH, NOW

pytestmark = pytest.mark.django_db
SHORT, LONG = np.linspace(5, 9, 40), np.linspace(8, 12, 40)


@pytest.fixture
def measured(party, white):
    """Measure fish without otoliths: measured("trap_net", [7.1, ...])."""

    def measure(method, inches, **facts):
        trip = make_trip_like(party, method=method, **facts)
        for one in inches:
            build_fish(trip, white, inches=round(float(one), 1), donor=None).save()
        return trip

    return measure


def test_aged_fish_of_donors_are_longer_than_net_fish(made, aged, measured):
    aged(3, LONG, caught_on=CAUGHT_ON)
    measured("trap_net", SHORT)

    page = made("length-samples")

    assert codes(page.summary) == ["aged_longer"]
    [row] = rows_of(page, "length-samples")
    assert row[:6] == ["Brindle", "Trap net", "40", "7.0 in", "40", "10.0 in"]
    assert float(row[6]) == pytest.approx(0.75, abs=0.03)
    assert row[7] == "< 0.001"


def test_where_donated_fish_begin_is_said_with_the_net_fish_below(made, aged, measured):
    aged(3, LONG)
    measured("trap_net", SHORT)

    said = with_code("donated_begin", made("length-samples").warnings)

    # 8.2 in is the 5th percentile of 8 to 12 in; of 5 to 9 in, four fifths are below it.
    start, _, donated, percent, of_nets = numbers_in(said)
    assert (start, donated, of_nets) == (8.2, 40, 40)
    assert percent == pytest.approx(80, abs=3)


def test_samples_alike_show_no_difference(made, aged, measured):
    aged(3, LONG)
    measured("creel", LONG + 0.05)

    assert codes(made("length-samples").summary) == ["no_difference"]


def test_few_fish_say_so_and_have_no_test(made, aged, measured):
    aged(3, LONG)
    measured("trap_net", SHORT[:19])

    page = made("length-samples")

    assert codes(page.summary) == ["too_few_fish"]
    assert rows_of(page, "length-samples")[0][-2:] == ["too few", "too few"]
    assert page.warnings == []


def test_each_arm_is_held_against_its_own_aged_fish(made, aged, measured, lake):
    hobbin = lake.arms.get(name="Hobbin")
    aged(3, LONG)
    aged(3, SHORT, arm=hobbin)
    trip = measured("trap_net", [])
    for one in SHORT:
        build_fish(
            trip,
            trip.lake.fish.first().species,
            inches=round(float(one), 1),
            arm=hobbin,
            donor=None,
        ).save()
    measured("trap_net", SHORT)

    page = made("length-samples")

    assert codes(page.summary) == ["aged_longer", "no_difference"]


def test_fish_counted_by_length_are_in_the_sample(made, aged, measured, white):
    aged(3, LONG)
    trip = measured("trap_net", SHORT[:5])
    LengthCount.objects.create(
        party=trip, species=white, from_hundredths_mm=6 * INCH, below_hundredths_mm=7 * INCH,
        count=25, logged_by=trip.opened_by, logged_at=NOW,
    )  # fmt: skip

    page = made("length-samples")

    assert rows_of(page, "length-samples")[0][2:4] == ["30", "6.5 in"]
    assert numbers_in(with_code("counted_by_length", page.left_out)) == [25]


def test_fish_that_wait_to_be_aged_and_those_picked_by_size_are_left_out(
    made, aged, measured, party, white, vials
):
    aged(3, LONG)
    measured("trap_net", SHORT)
    measured("trap_net", LONG[:7], how_chosen="biggest")
    build_fish(party, white, vial=vials[0], progress=1).save()

    page = made("length-samples")

    assert rows_of(page, "length-samples")[0][2] == "40"
    found = {code: numbers_in(with_code(code, page.left_out))[0] for code in codes(page.left_out)}
    assert found == {"account": 88, "not_aged_yet": 1, "picked_by_size": 7}


def test_what_donated_fish_do_is_told_of_every_kind_of_finding(made, aged, measured):
    aged(3, LONG)
    measured("trap_net", SHORT)

    told = {row[0] for row in rows_of(made("length-samples"), "donated-fish")}

    assert {"Age-length key", "Growth", "Mortality", "Size structure", "Net catch"} <= told
