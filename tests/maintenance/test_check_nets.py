"""Net plans and counts beside what they belong to: what contradicts is found."""

import pytest

from samples.maintenance.check import check_data
from samples.models import LengthCount, PlannedSets
from tests.people import INCH, NOW

pytestmark = pytest.mark.django_db


def found():
    return [one.code for one in check_data(now=NOW)]


def test_a_station_of_another_place_is_found(season, brindle, other_lake):
    plan = PlannedSets.objects.create(
        season=season, arm=brindle, reach=brindle.reaches.first(), sets=2, net_nights=1
    )
    assert found() == []

    plan.arm = brindle.lake.arms.get(name="Hobbin")
    plan.save()
    assert found() == ["plan_of_another_place"]

    plan.reach, plan.arm = None, other_lake.arms.first()
    plan.save()
    assert found() == ["plan_of_another_place"]


def test_a_count_without_net_nights_is_found(party, white):
    LengthCount.objects.create(
        party=party, species=white, from_hundredths_mm=7 * INCH, below_hundredths_mm=8 * INCH,
        count=3, logged_by=party.opened_by, logged_at=NOW,
    )  # fmt: skip
    assert found() == ["count_of_no_net_set"]

    party.net_nights = 2
    party.save()
    assert found() == []
