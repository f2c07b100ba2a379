"""Pages of the archive: boxes, their maps, vials put in and taken out."""

import io
import re

import pypdfium2
import pytest
from django.urls import reverse

from samples.models import ArchiveBox, Vial
from tests.custody.rows import make_box, read, receive
from tests.people import make_vials
from tests.shown import error_codes, message_tags
from tests.vials.numbers import number


def url(name, lake, *more):
    return reverse(f"custody:{name}", args=[lake.slug, *more])


def text_of_pdf(response):
    document = pypdfium2.PdfDocument(io.BytesIO(response.content))
    return [page.get_textpage().get_text_bounded() for page in document]


class TestArchive:
    ASKED = {"name": "26-05", "rows": "10", "columns": "10", "place": "Cabinet 2"}

    def test_a_box_is_added_and_opened(self, desk, lake):
        response = desk.post(url("archive", lake), self.ASKED)

        assert response.url == url("box", lake, ArchiveBox.objects.get().pk)

    @pytest.mark.parametrize(
        ("changed", "field", "code"),
        [
            ({"name": ""}, "name", "required"),
            ({"name": "26-04"}, "name", "box_exists"),
            ({"rows": "27"}, "rows", "too_many"),
            ({"columns": "0"}, "columns", "too_many"),
            ({"columns": "ten"}, "columns", "invalid"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(self, desk, lake, box, changed, field, code):
        response = desk.post(url("archive", lake), self.ASKED | changed)

        assert response.status_code == 422
        assert error_codes(response) == {field: [code]}


class TestBox:
    def scan(self, desk, lake, box, **typed):
        return desk.post(url("box", lake, box.pk), typed, follow=True)

    def test_the_next_free_slot_is_proposed_after_each_scan(self, desk, lake, box, vials, office):
        read(vials[:2], office)

        page = self.scan(desk, lake, box, number=number(1), slot="A1", proposed="A1")
        assert page.context["proposed"] == "A2"

        page = self.scan(desk, lake, box, number=number(2), slot="B1", proposed="A2")
        assert page.context["proposed"] == "B2"

    @pytest.mark.parametrize(
        ("typed", "field", "code"),
        [
            ({"slot": "A1", "proposed": "A2"}, "slot", "slot_taken"),
            ({"slot": "Z9", "proposed": "A2"}, "slot", "no_such_slot"),
            ({"number": number(3)}, "number", "not_read"),
            ({"number": "7777"}, "number", "none_found"),
        ],
    )
    def test_what_is_refused_is_said_with_its_remedy(
        self, desk, lake, box, vials, office, typed, field, code
    ):
        read(vials[:2], office)
        receive(vials[2:3], office)
        self.scan(desk, lake, box, number=number(1))

        page = self.scan(desk, lake, box, **{"number": number(2)} | typed)

        assert page.status_code == 422
        assert error_codes(page) == {field: [code]}
        assert Vial.objects.filter(state="archived").count() == 1

    def test_a_remedy_goes_to_the_slot_that_was_typed(self, desk, lake, box, vials, office):
        receive(vials[:1], office)

        asked = self.scan(desk, lake, box, number=number(1), slot="B2", proposed="A1")
        sent = dict(
            re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', asked.content.decode())
        )
        self.scan(desk, lake, box, **sent, unread="1")

        assert Vial.objects.get(pk=vials[0].pk).archive_slot == "B2"

    def test_a_full_box_leads_to_a_new_one(self, desk, lake, office, vials):
        small = make_box(lake, office, name="S", rows=1, columns=1)
        read(vials[:2], office)
        self.scan(desk, lake, small, number=number(1))

        page = self.scan(desk, lake, small, number=number(2))

        assert error_codes(page) == {"number": ["box_full"]}
        assert url("archive", lake) in page.content.decode()

    def test_undo_takes_the_last_scan_back(self, desk, lake, box, vials, office):
        read(vials[:2], office)
        self.scan(desk, lake, box, number=number(1))
        page = self.scan(desk, lake, box, number=number(2))
        assert f'name="undo" value="{number(2)}"' in page.content.decode()

        tags = [
            message_tags(self.scan(desk, lake, box, undo=number(place))) for place in (2, 2, 1, 1)
        ]

        assert [one.split()[0] for [one] in tags] == [
            "success",
            "not_the_last",
            "success",
            "nothing_to_undo",
        ]

    def test_taken_out_and_brought_back_by_scanning(self, desk, lake, box, vials, office):
        read(vials[:1], office)
        self.scan(desk, lake, box, number=number(1))

        page = desk.post(url("out", lake), {"number": "0001"}, follow=True)
        assert [vial.number for vial in page.context["out"].rows] == [number(1)]

        page = desk.post(url("out", lake), {"number": "0001", "back": "1"}, follow=True)
        assert page.context["out"].total == 0
        assert page.context["is_back"]

        page = desk.post(url("out", lake), {"number": "0002"})
        assert error_codes(page) == {"number": ["is_printed"]}

    @pytest.mark.parametrize(
        ("typed", "tag"), [("Shelf 3", "success"), ("x" * 101, "too_long error")]
    )
    def test_where_it_is_kept_is_noted(self, desk, lake, box, typed, tag):
        page = desk.post(url("box_place", lake, box.pk), {"place": typed}, follow=True)

        assert message_tags(page) == [tag]

    def test_the_map_holds_every_number_and_the_index_its_slot(
        self, desk, lake, box, vials, office
    ):
        read(vials[:4], office)
        for place in (4, 3, 2, 1):
            self.scan(desk, lake, box, number=number(place))

        [drawn] = text_of_pdf(desk.get(url("map_pdf", lake, box.pk)))
        [index] = text_of_pdf(desk.get(url("index_pdf", lake)))

        for place, slot in ((4, "A1"), (3, "A2"), (2, "A3"), (1, "B1")):
            printed = f"26 {place:04d} {number(place)[-1]}"
            assert printed in drawn
            assert any(line.split() == [*printed.split(), "26-04", slot] for line in rows_of(index))

    def test_an_index_of_many_goes_over_several_pages(self, desk, lake, box, season, office):
        made = make_vials(season, first=100, count=400, by=office)
        Vial.objects.filter(pk__in=[vial.pk for vial in made]).update(
            state="archived", archive_box="26-00"
        )

        pages = text_of_pdf(desk.get(url("index_pdf", lake)))

        assert len(pages) == 3
        assert sum(page.count("26-00") for page in pages) == 400


def rows_of(text):
    """Return the lines of an index as written, column by column."""
    return text.replace("\r", "").split("\n")
