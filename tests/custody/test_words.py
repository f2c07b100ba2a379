"""What people read where vials are cleared, archived and handed on, word for word."""

import re

import pytest

from samples.models import Vial
from tests.custody.rows import make_tray, read, receive
from tests.custody.test_pages import url
from tests.vials.numbers import number


def words(response):
    # A number may stand large within its sentence.
    plain = re.sub(r"</?strong[^>]*>", "", response.content.decode())
    return " ".join(plain.replace("&#x27;", "'").split())


class TestTray:
    def scan(self, desk, lake, tray, typed):
        return words(desk.post(url("tray", lake, tray.pk), {"number": typed}, follow=True))

    def test_what_was_done(self, desk, lake, tray, vials, office):
        receive(vials[:1], office)

        assert "26 0001 8 in tray C-14, place 1. Its fish is not logged yet." in self.scan(
            desk, lake, tray, "0001"
        )
        assert "26 0001 8 was already in tray C-14, place 1. Counted once." in self.scan(
            desk, lake, tray, "0001"
        )

    @pytest.mark.parametrize(
        ("state", "sentence"),
        [
            ("printed", "26 0001 8 is printed, not received. Receive it first."),
            ("issued", "26 0001 8 is issued to R. Ostrow, not received. Receive it first."),
            ("archived", "26 0001 8 is archived. Take it out of its box first."),
            ("lost", "26 0001 8 is marked lost. If you have it in hand, receive it first."),
            ("void", "26 0001 8 is void. Set it aside."),
        ],
    )
    def test_what_cannot_be_cleared(self, desk, lake, tray, vials, guide, state, sentence):
        Vial.objects.filter(pk=vials[0].pk).update(state=state, issued_to=guide)

        assert sentence in self.scan(desk, lake, tray, number(1))

    def test_the_wrong_tray(self, desk, lake, tray, vials, office):
        other = make_tray(lake, office, name="C-12")
        receive(vials[:1], office)
        self.scan(desk, lake, other, number(1))

        shown = self.scan(desk, lake, tray, number(1))

        assert "26 0001 8 is already clearing in tray C-12, place 1." in shown
        assert "Move 26 0001 8 here" in shown

    def test_cautions_stand_where_ethanol_is_poured(self, desk, lake, tray):
        for address in (url("trays", lake), url("media", lake), url("tray", lake, tray.pk)):
            shown = words(desk.get(address))
            assert "Ethanol is highly flammable (H225) and irritates the eyes (H319)." in shown
            assert "No flame or hot plate nearby" in shown
            assert "Ventilate" in shown
            assert "Your laboratory's chemical hygiene plan comes first." in shown

    def test_one_that_came_in_empty(self, desk, lake, tray, vials, office):
        receive(vials[:1], office, content="none")

        assert (
            "26 0001 8 came in with no otolith. Set it aside, or receive it again to correct that."
            in self.scan(desk, lake, tray, number(1))
        )

    @pytest.mark.parametrize("preparation", ["section", "crack_burn"])
    def test_cautions_of_cutting_stand_where_otoliths_are_cut(
        self, desk, lake, tray, office, preparation
    ):
        cut = make_tray(lake, office, name="S-1", preparation=preparation, glycerin_parts=0)
        caution = "Cut away from your hand and guard the blade."

        assert caution in words(desk.get(url("tray", lake, cut.pk)))
        assert caution in words(desk.get(url("trays", lake)))
        assert caution not in words(desk.get(url("tray", lake, tray.pk)))


class TestBox:
    def scan(self, desk, lake, box, **typed):
        return words(desk.post(url("box", lake, box.pk), typed, follow=True))

    def test_what_was_done(self, desk, lake, box, vials, office):
        read(vials[:1], office)

        assert "26 0001 8 in box 26-04, slot A1." in self.scan(desk, lake, box, number="0001")

    def test_a_slot_that_is_taken(self, desk, lake, box, vials, office):
        read(vials[:2], office)
        self.scan(desk, lake, box, number=number(1))

        shown = self.scan(desk, lake, box, number=number(2), slot="A1", proposed="A2")

        assert "Slot A1 is taken by 26 0001 8. The next free slot is A2." in shown
        assert "Use A2 for 26 0002 6" in shown

    def test_out_and_back(self, desk, lake, box, vials, office):
        read(vials[:1], office)
        self.scan(desk, lake, box, number=number(1))

        out = words(desk.post(url("out", lake), {"number": "0001"}, follow=True))
        back = words(desk.post(url("out", lake), {"number": "0001", "back": "1"}, follow=True))

        assert "26 0001 8 is out. Its slot is kept: box 26-04, slot A1." in out
        assert "26 0001 8 is back in box 26-04, slot A1." in back


class TestBoxes:
    def test_what_a_map_counts_and_what_of_an_old_record_is_laid_out(
        self, desk, lake, box, vials, office
    ):
        read(vials[:3], office)
        for vial, slot in zip(vials, ["1", "2", "top"], strict=False):
            vial.state, vial.archive_box, vial.archive_slot = "archived", "26-04", slot
            vial.save()
        noted = {"box": "26-04", "order": "down", "sure": "1"}

        laid = words(desk.post(url("unmapped", lake), noted, follow=True))
        shown = words(desk.get(url("box", lake, box.pk)))

        assert "2 vials are on the map of box 26-04. 1 stayed as noted" in laid
        assert "2 in the box, 4 free" in shown
        assert "1 vial on record in this box has no slot on its map." in shown
