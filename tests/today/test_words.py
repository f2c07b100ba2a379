"""What people read where a day begins, word for word."""

from datetime import timedelta

import pytest
from django.utils.html import strip_tags

from samples.models import Season, Vial
from tests.factories import make_held_fish
from tests.people import NOW
from tests.targets.fish import make_fish
from tests.targets.pages import want
from tests.today.test_views import lake_day

TODAY = "/lakes/lake-orrinbeck/"


def words_of(answer):
    return " ".join(strip_tags(answer.content.decode()).split())


@pytest.mark.django_db
def test_somebody_without_a_lake(client, lake, office):
    office.memberships.all().delete()
    client.force_login(office)

    assert "Ask the biologist" in words_of(client.get("/"))


def test_what_waits_and_the_lists_that_it_opens(
    client, lake, vials, party, white, biologist, guide
):
    make_held_fish(lake, guide)
    Vial.objects.filter(pk__in=[vial.pk for vial in vials[:2]]).update(
        state="received", received_at=NOW, received_by=biologist
    )
    make_fish(party, white, 10.2, vial=vials[5])
    Vial.objects.filter(pk=vials[5].pk).update(state="used")
    make_fish(party, white, 10.2, vial_number_said="26 0001 8")
    client.force_login(biologist)

    page = words_of(client.get(TODAY))
    held = words_of(client.get(f"{TODAY}held/"))
    moving = words_of(client.get(f"{TODAY}vials/receive/"))

    for what in (
        "entries to resolve",
        "fish without a vial",
        "logged vials not received",
        "received vials without a logged fish",
        "Oldest waiting since May",
        "Oldest catch May 6.",
        f"Where the {len(vials)} vials of 2026 are",
    ):
        assert what in page
    assert "1 entry to resolve" in held
    assert "1 fish waits for a vial" in held
    assert "1 logged vial not received" in moving
    assert "2 vials without a log" in moving


@pytest.mark.parametrize(
    ("days", "sentence"),
    [
        (-1, "Collection permit SC-26-014 expired on"),
        (0, "Collection permit SC-26-014 expires today, on"),
        (12, "Collection permit SC-26-014 expires in 12 days, on"),
    ],
)
def test_a_permit(client, lake, biologist, days, sentence):
    today = lake_day()
    Season.objects.update(
        starts_on=today - timedelta(days=100),
        ends_on=today + timedelta(days=100),
        permit_until=today + timedelta(days=days),
    )
    client.force_login(biologist)

    page = words_of(client.get(TODAY))

    assert sentence in page
    assert "Change the permit" in page


def test_coverage(client, biologist, season, party, white):
    today = lake_day()
    Season.objects.update(starts_on=today - timedelta(days=9), ends_on=today + timedelta(days=9))
    want(season, white, 10, 20)
    make_fish(party, white, 10.2, count=5)
    client.force_login(biologist)

    page = words_of(client.get(TODAY))
    assert "15 more white crappie to collect" in page
    assert "5 of 20 collected for the lake target, behind an even pace (10 by today)." in page
    assert "What these numbers mean" in page
