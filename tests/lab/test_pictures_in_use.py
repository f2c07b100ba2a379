"""Pictures where otoliths are read in sessions and where their ages are decided."""

import json

import pytest
from django.urls import reverse

from samples.lab import services
from samples.models import Picture, Reading, ReferenceOtolith, SessionOtolith
from samples.rules.marks import DrawnRadius
from tests.lab.making import TODAY, make_session, put_in_lab, read
from tests.lab.marked import CORE, EDGE, RINGS_PX, make_picture
from tests.people import NOW
from tests.shown import error_codes

FACTS = services.PlainFacts(method="whole", margin=4, readability=1, length_was_hidden=True)


@pytest.fixture
def pictured(vial, fish, reader):
    """Return a picture of the vial whose name and note tell what a blind reader must not know."""
    picture = make_picture(vial, reader)
    picture.original_name, picture.note = "shoebox-13.9in-age9.jpg", "Secret words"
    picture.save()
    return picture


@pytest.fixture
def session(lake, reader, vial, vials, pictured, party, white):
    """Return a blind session of the pictured vial and of one without a picture."""
    put_in_lab(vials[1], party, white)
    return make_session(lake, reader, vial, vials[1])


@pytest.fixture
def as_reader(client, reader):
    client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
    return client


def mark_by(person, picture, *annuli):
    """Mark the picture outside of any session."""
    services.save_marks(
        picture=picture, reader=person, drawn=[DrawnRadius(CORE, EDGE, annuli)], facts=FACTS,
        sitting_on=TODAY, now=NOW,
    )  # fmt: skip


def address(name, session, place):
    return reverse(f"lab:{name}", args=[session.lake.slug, session.pk]) + f"?place={place}"


def sent(*annuli, **more):
    radius = {"core": list(CORE), "edge": list(EDGE), "annuli_px": list(annuli)}
    return {"marks": json.dumps([radius]), "margin": "4", **more}


class TestSessions:
    def test_the_picture_at_hand_is_shown_and_tells_nothing_hidden(
        self, as_reader, session, pictured, lake
    ):
        page = as_reader.get(address("session", session, 1)).content.decode()

        assert reverse("pictures:tiles", args=[lake.slug, pictured.pk]) in page
        for hidden in (pictured.original_name, pictured.note, str(pictured.objective)):
            assert hidden not in page
        # The page of the picture has its note, and the original comes by its name.
        for name in ("picture", "original"):
            assert f'"{reverse(f"pictures:{name}", args=[lake.slug, pictured.pk])}"' not in page

    def test_what_was_typed_before_the_picture_was_marked_is_there_again(
        self, as_reader, session, pictured, lake
    ):
        typed = "&annuli=4&margin=2&readability=1&note=crowded+edge"
        marks = as_reader.get(address("session_marks", session, 1) + typed)
        back = as_reader.get(marks.context["back_to_session"])

        names = ("annuli", "margin", "readability", "note")
        assert [back.context["form"][name].value() for name in names] == [
            "4",
            "2",
            "1",
            "crowded edge",
        ]
        assert marks.context["form"]["note"].value() == "crowded edge"

    def test_without_a_picture_the_next_one_is_fetched_ahead_of_its_turn(
        self, as_reader, session, pictured, lake, vials
    ):
        SessionOtolith.objects.filter(session=session, place=1).update(place=3)

        page = as_reader.get(address("session", session, 2))

        assert page.context["picture"] is None
        assert page.context["next_picture"] == pictured

    def test_marks_are_the_reading_of_the_session(self, as_reader, session, pictured, vial):
        ReferenceOtolith.objects.create(
            vial=vial, age_years=4, kind="known", added_by=session.reader, added_at=NOW
        )
        SessionOtolith.objects.filter(session=session, place=1).update(stream="reference")

        answer = as_reader.post(address("session_marks", session, 1), sent(*RINGS_PX, note="clear"))

        assert answer.url == address("session", session, 2)
        reading, otolith = Reading.objects.get(), session.otoliths.get(place=1)
        assert (reading.annuli, reading.margin, reading.note) == (4, 4, "clear")
        assert (reading.session_otolith, reading.stream) == (otolith, "reference")
        assert (otolith.outcome, otolith.note) == ("read", "clear")
        assert reading.marked_radii.get().annuli_px == list(RINGS_PX)
        again = as_reader.get(address("session_marks", session, 1))
        assert again.context["drawn"]["own"][0]["annuli_px"] == list(RINGS_PX)

        as_reader.post(address("session_marks", session, 1), sent(*RINGS_PX[:3]))
        assert Reading.objects.get().annuli == 3

    def test_a_blind_session_never_tells_of_other_marks(
        self, as_reader, session, pictured, biologist
    ):
        mark_by(biologist, pictured, 123.25)

        before = as_reader.get(address("session_marks", session, 1))
        as_reader.post(address("session_marks", session, 1), sent(*RINGS_PX))
        after = as_reader.get(address("session_marks", session, 1))

        for page in (before, after):
            assert "123.25" not in page.content.decode()
            assert str(biologist) not in page.content.decode()
            assert not page.context["page"].others_hidden

    def test_marks_in_a_closed_session_or_of_another_vial_are_not_kept(
        self, as_reader, session, pictured, vials, reader
    ):
        where = address("session_marks", session, 1) + f"&picture={pictured.pk}"
        Picture.objects.filter(pk=pictured.pk).update(vial=vials[1])
        assert as_reader.post(where, sent(*RINGS_PX)).status_code == 404
        Picture.objects.filter(pk=pictured.pk).update(vial=pictured.vial)
        services.close_session(session=session, actor=reader, now=NOW)
        assert as_reader.post(where, sent(*RINGS_PX)).status_code == 302
        assert not Reading.objects.exists()


def test_a_decision_shows_each_reading_on_its_picture(
    client, lake, vial, pictured, reader, biologist
):
    mark_by(reader, pictured, *RINGS_PX)
    read(vial, biologist, 5, 1)
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")

    page = client.get(reverse("lab:decide", args=[lake.slug, vial.number]))

    marked = {side.reading.reader: side.marked for side in page.context["page"].sides}
    assert marked[biologist] is None
    assert marked[reader].picture == pictured
    assert [one["annuli_px"] for one in marked[reader].radii] == [list(RINGS_PX)]
    assert page.content.decode().count("data-marked") == 1


def test_the_grid_and_the_vial_lead_to_the_marks(
    client, lake, vial, vials, pictured, biologist, party, white
):
    put_in_lab(vials[1], party, white)
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    pages = {
        one.number: client.get(reverse("lab:vial", args=[lake.slug, one.number])).content.decode()
        for one in vials[:2]
    }
    grid = client.get(reverse("lab:grid", args=[lake.slug])).content.decode()

    for number, page in pages.items():
        link = reverse("lab:marks", args=[lake.slug, number])
        assert (link in page) is (number == vial.number)
        assert (link in grid) is (number == vial.number)


@pytest.mark.parametrize("number", ["", "another"])
def test_the_page_of_a_marked_picture_says_why_it_stays_with_its_vial(
    as_reader, lake, vial, vials, pictured, reader, number
):
    mark_by(reader, pictured, *RINGS_PX)

    answer = as_reader.post(
        reverse("pictures:picture", args=[lake.slug, pictured.pk]),
        {"vial": number and vials[1].number, "note": "Newly typed"},
    )

    assert (answer.status_code, error_codes(answer)) == (422, {"vial": ["marked"]})
    assert answer.context["form"]["note"].value() == "Newly typed"
    pictured.refresh_from_db()
    assert (pictured.vial, pictured.note) == (vial, "Secret words")
