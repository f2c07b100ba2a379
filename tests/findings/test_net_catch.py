"""Net catch: every set counts, empty ones too; gears, seasons and halves of a year stand apart."""

from datetime import date

import pytest

from samples.models import LengthCount, Season, UnmeasuredCount, read_revision
from tests.factories import build_fish, make_trip_like
from tests.findings.conftest import codes, first_figure, numbers_in, rows_of, with_code
from tests.people import INCH, NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def net_set(party, white):
    """Make a net set: net_set([7.1], nights=2, net_mesh_mm=19)."""

    def make(inches=(), *, nights=1, **facts):
        usual = {"method": "trap_net", "net_nights": nights, "net_mesh_mm": 13}
        trip = make_trip_like(party, **usual | facts)
        for one in inches:
            build_fish(trip, white, inches=one, donor=None).save()
        return trip

    return make


def count_by_length(trip, white, inch, fish):
    return LengthCount.objects.create(
        party=trip,
        species=white,
        from_hundredths_mm=inch * INCH,
        below_hundredths_mm=(inch + 1) * INCH,
        count=fish,
        logged_by=trip.opened_by,
        logged_at=NOW,
    )


def count_unmeasured(trip, white, fish):
    return UnmeasuredCount.objects.create(
        entry_id="0c000000-0000-4000-8000-000000000001",
        party=trip,
        species=white,
        count=fish,
        logged_by=trip.opened_by,
        logged_at=NOW,
        received_at=NOW,
    )


def test_every_way_to_write_a_fish_down_counts_and_an_empty_net_too(made, net_set, white, black):
    measured = net_set([7.1, 7.4, 8.2], nights=2)
    build_fish(measured, black, inches=7.0, donor=None).save()
    build_fish(measured, white, inches=7.0, donor=None, withdrawn=True).save()
    count_by_length(net_set(), white, 7, 5)
    count_unmeasured(net_set([9.0]), white, 3)
    net_set()
    net_set()

    page = made("net-catch")

    [row] = rows_of(page, "net-catch")
    assert row[0] == "Brindle"
    # Sets, empty ones, net nights, fish, fish per net night.
    assert row[5:10] == ["5", "2", "6", "12", "2.00"]
    assert numbers_in(with_code("catch_per_effort", page.summary))[0] == 2.0


def test_lengths_of_measured_and_counted_fish(made, net_set, white):
    net_set([7.1, 7.4, 8.2])
    count_by_length(net_set(), white, 7, 5)

    rows = rows_of(made("net-catch"), "net-catch-by-length")

    assert [(row[0], row[1]) for row in rows] == [("7.0-7.9 in", "7"), ("8.0-8.9 in", "1")]


def test_gears_and_halves_of_the_year_stand_apart(made, net_set):
    for _ in range(2):
        net_set([7.1], caught_on=date(2026, 3, 4))
    net_set([7.1] * 4, caught_on=date(2026, 9, 20))
    net_set([7.1] * 9, net_mesh_mm=19, caught_on=date(2026, 3, 4))

    page = made("net-catch")

    found = [(row[2], row[4], row[5], first_figure(row[9])) for row in rows_of(page, "net-catch")]
    assert found == [
        ("spring", "13", "2", 1.0),
        ("spring", "19", "1", 9.0),
        ("fall", "13", "1", 4.0),
    ]
    assert "several_gears" in codes(page.warnings)


def test_seasons_are_told_one_after_the_other(made, net_set, lake):
    before = Season.objects.create(
        lake=lake, name="2025", number_year=2025, starts_on="2025-01-01", ends_on="2025-12-31"
    )
    for _ in range(5):
        net_set([7.1] * 4, season=before, caught_on=date(2025, 5, 6))
        net_set([7.1])

    page = made("net-catch")

    found = [(row[1], first_figure(row[9])) for row in rows_of(page, "net-catch")]
    assert found == [("2025", 4.0), ("2026", 1.0)]
    [panel] = page.plots[0].panels
    assert panel.series[0].y == [4.0, 1.0]


def test_few_sets_have_no_interval_and_say_so(made, net_set):
    for _ in range(4):
        net_set([7.1])

    page = made("net-catch")

    assert codes(page.summary) == ["few_sets"]
    assert rows_of(page, "net-catch")[0][-1] == "fewer than 5 sets"


def test_a_set_of_which_only_some_fish_were_written_down_is_left_out(made, net_set):
    net_set([7.1] * 9, how_chosen="biggest")
    net_set([7.1])

    page = made("net-catch")

    assert rows_of(page, "net-catch")[0][5:9] == ["1", "0", "1", "1"]
    assert codes(page.left_out) == ["not_whole"]


def test_trips_of_anglers_are_no_net_sets(made, party, white):
    build_fish(party, white).save()

    assert made("net-catch").refused.code == "no_net_sets"


def test_counts_move_the_revision(net_set, white, lake):
    trip = net_set()
    for count in (count_by_length(trip, white, 7, 5), count_unmeasured(trip, white, 2)):
        before = read_revision(lake.pk)
        count.save()
        assert read_revision(lake.pk) != before
