"""What waits in trays and for boxes, on the first page of a lake."""

from datetime import timedelta

import pytest
from django.utils import timezone

from samples.custody import services
from samples.rules.lake_time import local_day
from tests.custody.rows import make_tray, read, receive
from tests.people import NOW
from tests.today.test_views import counts_of

CLEARING, ARCHIVE = "clearing/", "archive/"


@pytest.fixture
def counts(client, office):
    def counts():
        client.force_login(office)
        return counts_of(client.get("/lakes/lake-orrinbeck/"))

    return counts


@pytest.mark.parametrize(
    ("started_ago", "count"),
    [(3, None), (10, 2), (28, 2), (29, 1)],
    ids=["clearing", "cleared", "last day", "too long"],
)
def test_a_tray_waits_from_the_day_it_is_ready(lake, vials, office, counts, started_ago, count):
    """Two vials to mark ready; past the last day to rinse it is one tray to rinse."""
    today = local_day(timezone.now(), lake.time_zone)
    started = today - timedelta(days=started_ago)
    tray = make_tray(
        lake,
        office,
        started_on=started,
        ready_on=started + timedelta(days=10),
        rinse_by=started + timedelta(days=28),
    )
    receive(vials[:2], office)
    for vial in vials[:2]:
        services.put_in_tray(tray=tray, number=vial.number, actor=office, now=NOW, today=started)

    assert counts().get(CLEARING) == count


def test_a_read_vial_waits_for_a_box_until_it_is_in_one(lake, vials, office, counts):
    read(vials[:2], office)
    assert counts()[ARCHIVE] == 2

    box = services.make_box(
        lake=lake, name="26-04", rows=9, columns=9, place="", actor=office, now=NOW
    )
    services.put_in_box(box=box, number=vials[0].number, actor=office, now=NOW)
    assert counts()[ARCHIVE] == 1
