"""Boxes of old records, known in words alone: shown, laid out on a map, and moved by scanning."""

from datetime import timedelta

import pytest
from django.urls import reverse

from samples.custody import queries, services
from samples.custody.rules import slot_on_map
from samples.models import ArchiveBox, Vial
from tests.custody.rows import make_box, read
from tests.people import NOW
from tests.shown import error_codes, message_tags
from tests.vials.numbers import number


@pytest.fixture
def old(vials, office):
    """Vials archived before boxes had maps: in slots 1, 59, 59 twice, of no slot, and one read."""
    slots = ["1", "59", "59", "", "60", "C4"]
    read(vials[:6], office)
    for vial, slot in zip(vials, slots, strict=False):
        vial.state, vial.archive_box, vial.archive_slot = Vial.State.ARCHIVED, "19-02", slot
        vial.save()
    Vial.objects.filter(pk=vials[4].pk).update(state="read")
    return vials[:6]


@pytest.fixture
def asked(lake, office):
    return {"lake": lake, "name": "19-02", "actor": office, "now": NOW}


def of(vial):
    return Vial.objects.get(pk=vial.pk)


@pytest.mark.parametrize(
    ("words", "down", "slot"),
    [
        ("1", False, "A1"),
        ("59", False, "F9"),
        ("059", True, "I6"),
        ("100", True, "J10"),
        ("101", False, None),
        ("0", False, None),
        ("c-04", True, "C4"),
        ("top left", False, None),
        ("", False, None),
    ],
)
def test_a_slot_of_an_old_record_on_a_map_of_ten_by_ten(words, down, slot):
    assert slot_on_map(words, 10, 10, down=down) == slot


class TestMapBox:
    def test_vials_get_their_slots_signed_and_unclear_ones_stay(self, old, asked, office):
        done = services.map_box(rows=10, columns=10, place="Cabinet 1", **asked)

        assert (done.count, done.left) == (2, 4)
        assert [of(vial).archive_slot for vial in old] == ["A1", "59", "59", "", "60", "C4"]
        assert [of(vial).box_id is None for vial in old] == [False, True, True, True, True, False]
        moved = old[0].history.latest()
        assert (moved.archive_slot, moved.history_user, moved.history_date) == ("A1", office, NOW)
        assert done.box.place == "Cabinet 1"

    def test_one_that_has_a_map_keeps_it_and_its_vials(self, old, asked, lake, office, vials):
        box = make_box(lake, office, name="19-02", rows=4, columns=5)
        read(vials[6:7], office)
        services.put_in_box(box=box, number=number(7), actor=office, now=NOW, slot="A1")

        done = services.map_box(rows=9, columns=9, **asked)

        assert (done.box, done.box.rows, done.count) == (box, 4, 1)
        assert of(old[0]).archive_slot == "1"

    def test_without_one_that_fits_there_is_no_box(self, old, asked):
        Vial.objects.update(archive_slot="on top")

        with pytest.raises(services.CannotArchive) as caught:
            services.map_box(rows=10, columns=10, **asked)

        assert caught.value.code == "none_fits"
        assert not ArchiveBox.objects.exists()


class TestScan:
    """A vial of an old record is moved by scanning it."""

    def test_into_the_box_of_its_name_it_keeps_its_slot_unasked(self, old, lake, office):
        box = make_box(lake, office, name="19-02", rows=4, columns=5)
        later = NOW + timedelta(minutes=1)

        scanned = [
            services.put_in_box(
                box=box, number=one.number, proposed="A1", slot="A1", actor=office, now=later
            )
            for one in (old[5], old[3])
        ]

        assert [one.slot for one in scanned] == ["C4", "A1"]
        assert all(one.first_time for one in scanned)

    def test_into_another_box_only_if_it_is_known_where_it_lies(self, old, box, office):
        with pytest.raises(services.CannotArchive) as caught:
            services.put_in_box(box=box, number=number(1), actor=office, now=NOW)
        assert (caught.value.code, caught.value.remedy) == ("other_box", "move")

        Vial.objects.filter(pk=old[0].pk).update(archive_box="", archive_slot="")
        assert services.put_in_box(box=box, number=number(1), actor=office, now=NOW).slot == "A1"


class TestPages:
    @pytest.fixture
    def address(self, lake):
        return reverse("custody:unmapped", args=[lake.slug])

    def test_the_archive_lists_them(self, desk, lake, old):
        shown = desk.get(reverse("custody:archive", args=[lake.slug]))

        assert shown.context["unmapped"] == [queries.UnmappedBox("19-02", 6)]

    def test_a_box_is_shown_as_noted_asked_about_and_laid_out(self, desk, lake, old, address):
        shown = desk.get(address, {"box": "19-02"})
        assert [one.vial.archive_slot for one in shown.context["vials"]][:2] == ["1", "59"]

        words = {"box": "19-02", "rows": "10", "columns": "10", "order": "across"}
        question = desk.post(address, words)
        assert not ArchiveBox.objects.exists()
        assert [one.slot for one in question.context["vials"] if one.slot] == ["A1", "C4"]

        done = desk.post(address, {**words, "sure": "1"}, follow=True)
        assert message_tags(done) == ["some_left warning"]
        assert ArchiveBox.objects.get().vials.count() == 2

    def test_what_is_impossible_is_told_at_its_field(self, desk, old, address):
        words = {"box": "19-02", "rows": "40", "columns": "", "order": "across"}

        wrong = desk.post(address, words)
        assert error_codes(wrong) == {"rows": ["too_many"], "columns": ["required"]}

        assert desk.post(address, {"box": "none such"}).status_code == 404
        assert desk.get(address, {"box": "none\x00such"}).status_code == 404
