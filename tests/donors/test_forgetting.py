"""A donor is forgotten: no text of any table names them after, and the fish are all there."""

from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.apps import apps
from django.core.files.base import ContentFile
from django.urls import reverse

from samples.accounts.links import LinkRefused, make_link, make_phone, open_link
from samples.donors import services
from samples.models import (
    Donor,
    DonorAddress,
    Entry,
    Fish,
    HeldEntry,
    Membership,
    OpenSession,
    Photo,
    SavedView,
    SecurityEvent,
    Vial,
    read_revision,
)
from tests.factories import make_fish, make_held_fish
from tests.people import NOW
from tests.reports.rows import make_report
from tests.shown import error_codes

NAME = "R. Ostrow"


def tables_that_hold(*words):
    """Return the tables of which any row, in any column, holds one of these words."""
    found = set()
    for model in apps.get_models():
        for row in model._default_manager.values_list():
            if any(word in repr(row) for word in words):
                found.add(model.__name__)
    return found


@pytest.fixture
def donor(guide):
    return Donor.objects.get(person=guide)


@pytest.fixture
def known(donor, guide, party, white, vials, biologist, lake):
    """Let a guide's name stand wherever it can: notes, their history, entries, mail, log."""
    fish = make_fish(party, white, vial=vials[0], note="Big one of  r. ostrow, his dock")
    fish.note = "R. Ostrow says 11 in"
    fish.save()
    Vial.objects.filter(pk=vials[0].pk).update(note="For R. Ostrow")
    make_held_fish(lake, guide, said={"note": "ask R. Ostrow", "more": [{"by": NAME}]}, note=NAME)
    Entry.objects.create(
        entry_id=fish.entry_id,
        kind="correction",
        fingerprint="kept",
        said={"note": f"{NAME}'s boat"},
        fish=fish,
        said_by=guide,
        said_at=NOW,
        received_at=NOW,
    )
    make_link(guide, made_by=biologist, good_until=NOW.date() + timedelta(days=30), now=NOW)
    make_phone(guide, now=NOW, name="R. Ostrow's phone")
    OpenSession.objects.create(person=guide, session_key="x", began_at=NOW)
    SecurityEvent.objects.create(
        kind="signed_in_by_link", at=NOW, name=guide.username, person=guide, address="10.0.0.8"
    )
    AccessAttempt.objects.create(
        username=guide.username, ip_address="10.0.0.8", failures_since_start=1
    )
    guide.email = "r.ostrow@example.org"
    guide.save()
    services.note_address(donor, email="r.ostrow@example.org", actor=guide, now=NOW)
    return fish


def forget(donor, biologist, *, with_photos=False):
    return services.forget_donor(donor, with_photos=with_photos, actor=biologist, now=NOW)


def test_no_row_of_any_table_names_them(known, donor, biologist):
    before = tables_that_hold(NAME, "r-ostrow", "r.ostrow", "r. ostrow")
    assert before >= {"Donor", "User", "Fish", "HistoricalFish", "Entry", "HeldEntry"}

    gone = forget(donor, biologist)

    assert tables_that_hold(NAME, "r-ostrow", "r.ostrow", "r. ostrow") == set()
    assert gone.texts >= 5


def test_the_fish_and_the_other_words_stay(known, donor, biologist, lake):
    row = Fish.objects.values().get()
    history = Fish.history.count()
    revision = read_revision(lake.pk)

    forget(donor, biologist)

    assert Fish.objects.values().get() == row | {"note": "[removed] says 11 in"}
    assert Fish.history.count() == history
    assert Entry.objects.get().fingerprint == "kept"
    assert HeldEntry.objects.get().said == {
        "note": "ask [removed]",
        "more": [{"by": "[removed]"}],
    }
    assert read_revision(lake.pk) != revision


def test_nobody_gets_in_by_the_account(known, donor, guide, biologist):
    link = guide.personal_links.get()
    token = make_link(guide, made_by=biologist, good_until=NOW.date(), now=NOW).token

    forget(donor, biologist)

    guide.refresh_from_db()
    link.refresh_from_db()
    assert (guide.is_active, link.revoked_at) == (False, NOW)
    assert not OpenSession.objects.exists()
    assert not Membership.objects.filter(person=guide).exists()
    with pytest.raises(LinkRefused):
        open_link(token, today=NOW.date())


def test_another_persons_words_are_left(donor, biologist, second_guide, party, white):
    make_fish(party, white, note="I. Talvik and R. Ostrowski")

    forget(donor, biologist)

    assert Fish.objects.get().note == "I. Talvik and R. Ostrowski"
    assert Donor.objects.get(person=second_guide).name == "I. Talvik"


def test_a_donor_without_an_account(lake, biologist, party, white):
    named = Donor.objects.create(lake=lake, name="C. Wendle")
    make_fish(party, white, donor=named, note="C. Wendle's")

    forget(named, biologist)

    assert tables_that_hold("Wendle") == set()
    assert Fish.objects.get().donor == named


def test_two_views_whose_names_are_alike_without_the_donors(donor, lake, biologist):
    named = Donor.objects.create(lake=lake, name="C. Wendle")
    for one in (donor, named):
        SavedView.objects.create(lake=lake, name=f"Fish of {one.name}", path="/x/")

    for one in (donor, named):
        forget(one, biologist)

    names = sorted(SavedView.objects.values_list("name", flat=True))
    assert [name.startswith("Fish of [removed]") for name in names] == [True, True]
    assert tables_that_hold("Wendle", NAME) == set()


def test_reports_that_named_them_before_they_were_donors(lake, biologist):
    report = make_report(lake, biologist, title="Notes of C. Wendle")
    report.words, report.authors = "By C. Wendle", "C. Wendle"
    report.save()
    report.blocks.update(words="Ask C. Wendle")
    named = Donor.objects.create(lake=lake, name="C. Wendle")

    forget(named, biologist)

    assert tables_that_hold("Wendle") == set()


@pytest.mark.parametrize("with_photos", [True, False])
def test_photos_go_where_that_is_said(known, donor, guide, biologist, with_photos):
    photo = Photo.objects.create(
        fish=known,
        file=ContentFile(b"a picture", "a.jpg"),
        width_px=8,
        height_px=6,
        sent_by=guide,
        received_at=NOW,
    )

    assert forget(donor, biologist, with_photos=with_photos).photos == int(with_photos)

    assert Photo.objects.exists() != with_photos
    assert photo.file.storage.exists(photo.file.name)


class TestPage:
    @pytest.fixture
    def page(self, client, lake, biologist, donor):
        client.force_login(biologist)
        address = reverse("donors:forget", args=[lake.slug, donor.pk])
        return lambda **typed: client.post(address, typed)

    def test_nothing_goes_until_it_is_confirmed(self, page, donor):
        answer = page()

        assert (answer.status_code, error_codes(answer)) == (422, {"sure": ["required"]})
        donor.refresh_from_db()
        assert donor.name == NAME

    def test_confirmed_twice_it_is_done_once(self, page, donor, biologist):
        assert [page(sure="on").status_code for _ in range(2)] == [302, 302]

        donor.refresh_from_db()
        assert (donor.name, donor.person, donor.forgotten_by) == ("", None, biologist)

    def test_whoever_is_needed_for_more_than_fish_is_not_forgotten(
        self, page, donor, guide, other_lake
    ):
        Membership.objects.create(person=guide, lake=other_lake, role="reader")

        answer = page(sure="on")

        assert error_codes(answer) == {"__all__": ["other_roles"]}
        donor.refresh_from_db()
        assert donor.name == NAME

    def test_no_address_is_noted_for_them_after(self, page, donor, biologist):
        page(sure="on")

        kept = services.note_address(donor, email="a@example.org", actor=biologist, now=NOW)

        assert kept is None
        assert not DonorAddress.objects.exists()


def test_the_office_has_no_door_to_it(client, lake, donor, office):
    client.force_login(office)
    assert client.get(reverse("donors:forget", args=[lake.slug, donor.pk])).status_code == 403
