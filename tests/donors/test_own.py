"""What donors hear back: their own card, certificate, picture and messages, and nobody else's."""

import io

import pytest
from django.urls import reverse
from PIL import Image

from samples.donors import services
from samples.donors.presenters.cards import card_of
from samples.models import Donor
from tests.custody.test_kits import pages_of, text_of
from tests.factories import make_fish, make_trip_like
from tests.people import CAUGHT_ON, NOW
from tests.pictures.making import jpeg_with_metadata, keep_of_vial
from tests.ramp.test_api import phone_of
from tests.ramp.test_my_fish import age
from tests.shown import message_tags

MINE = "/ramp/mine/"


@pytest.fixture
def donor(guide):
    return Donor.objects.get(person=guide)


@pytest.fixture
def fish(party, white, vials, second_guide):
    """Return ten aged fish of a guide, the last the longest, and one of another guide."""
    found = [
        make_fish(party, white, inches=9 + n / 10, vial=vials[n], progress=5) for n in range(10)
    ]
    for one in found:
        age(one, 3)
    theirs = make_trip_like(party, opened_by=second_guide)
    other = Donor.objects.get(person=second_guide)
    make_fish(theirs, white, inches=8.0, donor=other, logged_by=second_guide)
    return found


def card(donor, season):
    return card_of(donor, season, today=CAUGHT_ON)


def test_a_card_counts_a_donors_own_fish_and_names_no_reach(donor, season, fish):
    found = card(donor, season)

    [count] = found.counts
    assert (count.donated, count.aged, count.oldest, count.longest) == (10, 10, "3 years", "9.9 in")
    assert len(found.of_note) == 5  # of the longest, and ten of the oldest age
    assert found.fish[9].beside == "0.5 in longer"  # 9.9 against a mean of 9.45
    assert card(Donor.objects.exclude(pk=donor.pk).get(), season).counts[0].donated == 1


def test_a_card_of_many_fish_goes_on_on_another_page(
    client, lake, guide, season, fish, party, white
):
    for _ in range(40):
        make_fish(party, white, inches=8.0)
    client.force_login(guide)

    for paper in ("letter", "a4"):
        made = client.get(reverse("donors:own_card", args=[season.pk]), {"paper": paper}).content
        assert len(pages_of(made)) == 2
        assert "R. Ostrow" in text_of(made)
        assert "I. Talvik" not in text_of(made)


def test_a_certificate_is_of_a_fish_of_note_alone(client, lake, guide, fish, donor, biologist):
    client.force_login(guide)
    made = client.get(reverse("donors:own_certificate", args=[fish[-1].pk])).content
    assert len(pages_of(made)) == 1
    assert fish[-1].species.name in text_of(made)
    age_of_others = fish[0].age
    age_of_others.age_years = 2
    age_of_others.save()

    answer = client.get(reverse("donors:own_certificate", args=[fish[0].pk]), follow=True)

    assert "not_of_note error" in message_tags(answer)


class TestPicture:
    @pytest.fixture
    def pictured(self, tmp_path, vials, fish, reader, settings):
        settings.MEDIA_ROOT = str(tmp_path / "media")
        return keep_of_vial(tmp_path, vials[0], reader, data=jpeg_with_metadata())

    def share(self, lake, biologist, *, on):
        services.set_switches(
            lake, shares_pictures=on, mails_donors=False, actor=biologist, now=NOW
        )

    def test_is_seen_by_its_donor_while_shared_without_what_the_camera_noted(
        self, client, lake, guide, second_guide, biologist, fish, pictured
    ):
        address = reverse("donors:own_picture", args=[fish[0].pk])
        client.force_login(guide)
        assert client.get(address).status_code == 404
        self.share(lake, biologist, on=True)

        shown = b"".join(client.get(address).streaming_content)

        with Image.open(io.BytesIO(shown)) as image:
            assert dict(image.getexif()) == {}
            assert "comment" not in image.info
        lines = [one for one, _, _ in client.get(MINE).context["lines"]]
        assert [one["picture"] for one in lines if one["picture"]] == [address]
        client.force_login(second_guide)
        assert client.get(address).status_code == 404
        self.share(lake, biologist, on=False)
        client.force_login(guide)
        assert client.get(address).status_code == 404

    def test_of_a_number_that_no_fish_can_have_there_is_none(self, client, guide):
        client.force_login(guide)

        address = reverse("donors:own_picture", args=[10**30])

        assert client.get(address).status_code == 404


def test_a_message_shows_with_its_day_on_page_and_phone_until_it_is_withdrawn(
    client, lake, guide, biologist
):
    message = services.post_message(lake, text="Thank you", by_mail=False, actor=biologist, now=NOW)
    client.force_login(guide)

    def told():
        on_page = [(text, edited) for text, _, _, edited in client.get(MINE).context["notes"]]
        on_phone = phone_of(guide).get("/api/v1/my-fish/").json()["messages"]
        assert on_page == [(one["text"], one["edited"]) for one in on_phone]
        assert {one["on"] for one in on_phone} <= {CAUGHT_ON.isoformat()}
        return on_page

    assert told() == [("Thank you", False)]
    services.edit_message(message, text="Thanks", actor=biologist, now=NOW)
    assert told() == [("Thanks", True)]
    services.withdraw_message(message, actor=biologist, now=NOW)
    assert told() == []
    assert message.history.count() == 3
