"""Marks on a picture: kept with the reading, measured by its scale, hidden from other readers."""

import json
from datetime import timedelta

import numpy as np
import pytest
from django.urls import reverse

from samples.lab.presenters.marks import marks_page
from samples.lab.services import CannotRead, PlainFacts, save_marks, set_radii
from samples.lab.services.profile import profile_of
from samples.models import MarkedRadius, Picture, Reading
from samples.rules.marks import DrawnRadius, read_radius
from tests.lab.making import TODAY, read
from tests.lab.marked import CORE, EDGE, RINGS_PX, UM_PER_PX, make_picture
from tests.people import NOW
from tests.shown import error_codes

FACTS = PlainFacts(method="whole", margin=4, readability=1, length_was_hidden=True)


@pytest.fixture
def picture(vial, fish, reader):
    """Return a picture of the vial's otolith, with a scale."""
    return make_picture(vial, reader)


def drawn(*annuli, **more):
    return DrawnRadius(CORE, EDGE, annuli, **more)


def mark(picture, reader, *radii, now=NOW, sitting_on=TODAY, facts=FACTS, **more):
    return save_marks(
        picture=picture,
        reader=reader,
        drawn=radii,
        facts=facts,
        sitting_on=sitting_on,
        now=now,
        **more,
    ).reading


def rings(reading):
    kept = Reading.objects.get(pk=reading.pk)
    return list(kept.radii.order_by("annulus").values_list("radius_um", flat=True)), kept.edge_um


class TestSaving:
    def test_the_count_is_the_number_of_marks_and_radii_follow_from_the_scale(
        self, picture, reader
    ):
        reading = mark(picture, reader, drawn(*RINGS_PX))

        assert (reading.annuli, reading.margin) == (4, 4)
        assert rings(reading) == ([400, 650, 800, 900], 1000)
        [radius] = reading.marked_radii.all()
        assert (radius.annuli_px, radius.um_per_px) == (list(RINGS_PX), UM_PER_PX)

    def test_suggested_annuli_of_a_drawn_otolith_are_measured_within_1_percent(
        self, picture, reader
    ):
        """The rings are drawn by arithmetic of this test, not by what measures them."""
        found = profile_of(picture, drawn(), suggest=True)
        assert found.positions_px is not None

        reading = mark(picture, reader, drawn(*found.positions_px, with_suggestion=True))

        radii, edge = rings(reading)
        assert radii == pytest.approx([400, 650, 800, 900], rel=0.01)
        assert edge == pytest.approx(1000, rel=0.01)
        assert reading.marked_radii.get().with_suggestion

    def test_a_second_radius_stands_beside_the_count(self, picture, reader):
        other = DrawnRadius(CORE, (60.0, 290.0), (50.0, 90.0))

        reading = mark(picture, reader, drawn(*RINGS_PX), other)

        assert reading.annuli == 4
        kept = reading.marked_radii.order_by("position")
        assert [one.annuli_px for one in kept] == [list(RINGS_PX), [50.0, 90.0]]

    def test_marked_again_in_the_same_session_it_is_a_correction(self, picture, reader):
        first = mark(picture, reader, drawn(*RINGS_PX, with_suggestion=True), drawn(100.0))

        again = mark(picture, reader, drawn(*RINGS_PX[1:]), now=NOW + timedelta(minutes=5))

        assert again.pk == first.pk
        assert rings(again) == ([650, 800, 900], 1000)
        [radius] = again.marked_radii.all()
        # That suggestions were shown stays on record.
        assert radius.with_suggestion
        kept = MarkedRadius.history.filter(reading_id=again.pk, position=1, history_type="+")
        assert list(kept.order_by("history_id").values_list("annuli_px", flat=True)) == [
            list(RINGS_PX),
            list(RINGS_PX[1:]),
        ]

    def test_without_a_scale_marks_are_kept_and_nothing_is_measured(self, picture, reader, vial):
        earlier = read(vial, reader, 4, 4).reading
        set_radii(earlier, [410, 640, 810, 905], edge_um=1010)
        Picture.objects.update(scale=None)

        reading = mark(picture, reader, drawn(*RINGS_PX))

        assert reading.pk == earlier.pk
        assert reading.marked_radii.count() == 1
        assert rings(reading) == ([], None)

    def test_another_count_typed_in_the_grid_takes_the_marks_away(self, picture, reader, vial):
        reading = mark(picture, reader, drawn(*RINGS_PX))

        read(vial, reader, 5, 4)

        assert (reading.marked_radii.count(), rings(reading)) == (0, ([], None))

    def test_no_annulus_is_a_count_of_0(self, picture, reader):
        facts = PlainFacts(method="whole", margin=None, readability=1, length_was_hidden=True)

        reading = mark(picture, reader, drawn(), facts=facts, confirmed=["margin_needed"])

        assert (reading.annuli, rings(reading)) == (0, ([], 1000))


class TestRefusing:
    @pytest.mark.parametrize(
        ("radii", "code"),
        [
            pytest.param([], "no_radius", id="nothing drawn"),
            pytest.param([drawn(100)] * 3, "no_radius", id="three radii"),
            pytest.param([drawn(200, 100)], "marks_fall", id="falling"),
            pytest.param([drawn(100, 100)], "marks_fall", id="on each other"),
            pytest.param([drawn(0)], "marks_fall", id="on the core"),
            pytest.param([drawn(401)], "marks_fall", id="past the edge"),
            pytest.param([DrawnRadius((-5, 10), EDGE)], "off_picture", id="off the picture"),
        ],
    )
    def test_what_is_no_marking_is_refused_and_nothing_is_kept(self, picture, reader, radii, code):
        with pytest.raises(CannotRead) as refused:
            mark(picture, reader, *radii)

        assert (refused.value.code, refused.value.field) == (code, "marks")
        assert not Reading.objects.exists()

    def test_annuli_nearer_than_a_micrometer_are_refused_and_the_old_stay(self, picture, reader):
        reading = mark(picture, reader, drawn(*RINGS_PX))

        with pytest.raises(CannotRead):
            mark(picture, reader, drawn(160, 160.1, 320, 360))

        assert rings(reading) == ([400, 650, 800, 900], 1000)
        assert reading.marked_radii.get().annuli_px == list(RINGS_PX)

    def test_a_picture_without_a_vial_is_not_read(self, picture, reader):
        Picture.objects.update(vial=None, confirmed_by=None, confirmed_at=None)

        with pytest.raises(CannotRead) as refused:
            mark(picture, reader, drawn(*RINGS_PX))

        assert refused.value.code == "no_vial"

    @pytest.mark.parametrize(
        "payload",
        [
            None,
            {"core": [1, 2], "edge": [1, 2], "annuli_px": []},
            {"core": [1, 2], "edge": [9], "annuli_px": []},
            {"core": [1, 2], "edge": [9, float("nan")], "annuli_px": []},
            {"core": [1, 2], "edge": [9, 9], "annuli_px": ["3"]},
            {"core": [1, 2], "edge": [9, 9], "annuli_px": [1] * 60},
        ],
    )
    def test_a_payload_that_is_no_radius(self, payload):
        with pytest.raises(ValueError, match=r"."):
            read_radius(payload)


class TestLayers:
    def test_marks_of_others_are_hidden_until_the_own_reading_is_saved(
        self, picture, fish, reader, biologist
    ):
        mark(picture, biologist, drawn(*RINGS_PX))
        before = marks_page(picture, fish, reader, today=TODAY)

        mark(picture, reader, drawn(*RINGS_PX[1:]))
        after = marks_page(picture, fish, reader, today=TODAY)

        assert (before.layers, before.others_hidden) == ([], True)
        [layer] = after.layers
        assert layer["radii"][0]["annuli_px"] == list(RINGS_PX)
        assert [one["annuli_px"] for one in after.own] == [list(RINGS_PX[1:])]

    def test_a_later_session_begins_without_the_readers_own_earlier_marks(
        self, picture, fish, reader
    ):
        mark(picture, reader, drawn(*RINGS_PX))

        page = marks_page(picture, fish, reader, today=TODAY + timedelta(days=30))

        assert (page.own, page.layers) == ([], [])


class TestPages:
    @pytest.fixture
    def as_reader(self, client, reader):
        client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
        return client

    @pytest.fixture
    def address(self, lake, vial, picture):
        return reverse("lab:marks", args=[lake.slug, vial.number])

    @staticmethod
    def sent(*annuli, **more):
        radius = {"core": list(CORE), "edge": list(EDGE), "annuli_px": list(annuli)}
        return {"marks": json.dumps([radius]), "method": "whole", "margin": "4", **more}

    def test_a_picture_without_a_scale_leads_to_the_scales(self, as_reader, address, lake, picture):
        scales = reverse("pictures:scales", args=[lake.slug])
        assert scales not in as_reader.get(address).content.decode()

        Picture.objects.update(scale=None)
        assert scales in as_reader.get(address).content.decode()

    def test_marks_are_saved_as_a_reading_by_the_page(self, as_reader, address, reader):
        answer = as_reader.post(address, self.sent(*RINGS_PX, readability="2", note="clear"))

        assert answer.status_code == 302
        reading = Reading.objects.get()
        assert (reading.reader, reading.annuli, reading.note) == (reader, 4, "clear")
        assert reading.length_was_hidden
        again = as_reader.get(answer.headers["Location"])
        assert again.context["drawn"]["own"][0]["annuli_px"] == list(RINGS_PX)

    def test_nothing_of_another_readers_marks_is_in_the_page(
        self, as_reader, address, picture, biologist
    ):
        mark(picture, biologist, drawn(123.25, *RINGS_PX))

        before = as_reader.get(address).content.decode()
        as_reader.post(address, self.sent(*RINGS_PX))
        after = as_reader.get(address).content.decode()

        assert "123.25" not in before
        assert str(biologist) not in before
        assert "123.25" in after

    def test_marks_that_cannot_be_kept_stay_on_the_page(self, as_reader, address):
        typed = self.sent(200, 100)

        answer = as_reader.post(address, typed)

        assert answer.status_code == 422
        assert error_codes(answer) == {"marks": ["marks_fall"]}
        assert answer.context["form"]["marks"].value() == typed["marks"]

    @pytest.mark.parametrize("marks", ["", "[", "{}", "[3]", '["a"]', "[" * 5_000])
    def test_marks_that_are_none_are_an_error_of_the_field(self, as_reader, address, marks):
        answer = as_reader.post(address, self.sent() | {"marks": marks})

        assert answer.status_code == 422
        assert list(error_codes(answer)) == ["marks"]

    def test_a_vial_without_a_picture_has_no_such_page(self, as_reader, lake, vials, address):
        assert (
            as_reader.get(reverse("lab:marks", args=[lake.slug, vials[1].number])).status_code
            == 404
        )

    def test_the_profile_darkens_at_each_ring(self, as_reader, lake, picture):
        where = reverse("lab:profile", args=[lake.slug, picture.pk])

        found = as_reader.get(
            where, dict(zip(("x1", "y1", "x2", "y2"), (*CORE, *EDGE), strict=True))
        )

        light = np.array(found.json()["brightness"])
        for ring in RINGS_PX:
            at = round(ring / 400 * (light.size - 1))
            assert light[at] < light[at - 25] - 30
        assert found.json()["positions_px"] is None

    def test_suggestions_come_only_where_the_lake_offers_them(self, as_reader, lake, picture):
        where = reverse("lab:profile", args=[lake.slug, picture.pk])
        asked = dict(zip(("x1", "y1", "x2", "y2"), (*CORE, *EDGE), strict=True), suggest="yes")

        refused = as_reader.get(where, asked)
        lake.suggest_annuli = True
        lake.save()
        offered = as_reader.get(where, asked)

        assert (refused.status_code, refused.json()["code"]) == (422, "suggestions_off")
        assert offered.json()["positions_px"] == pytest.approx(list(RINGS_PX), rel=0.01)
        assert not Reading.objects.exists()

    @pytest.mark.parametrize(
        ("ends", "code"),
        [
            ({}, "no_radius"),
            ({"x1": "nan", "y1": "1", "x2": "2", "y2": "3"}, "no_radius"),
            ({"x1": "1", "y1": "1", "x2": "9000", "y2": "3"}, "off_picture"),
            ({"x1": "10", "y1": "10", "x2": "12", "y2": "10"}, "short_radius"),
        ],
    )
    def test_a_radius_that_is_none_has_no_profile(self, as_reader, lake, picture, ends, code):
        answer = as_reader.get(reverse("lab:profile", args=[lake.slug, picture.pk]), ends)

        assert (answer.status_code, answer.json()["code"]) == (422, code)
