"""What the office reads about labels and vials, word for word."""

import pytest
from django.core.exceptions import ValidationError

from samples.vials import services
from samples.vials.forms.stocks import TypedMillimeters
from samples.vials.geometry import Filling, preview
from samples.vials.presenters.life import states_to_come, steps_of
from tests.people import NOW, make_vials
from tests.vials.numbers import SHEET as SHEET_CODE
from tests.vials.numbers import number
from tests.vials.pages import page_of, url
from tests.vials.test_geometry import SHEET
from tests.vials.test_printing import reprint_words
from tests.vials.test_views import words


class TestIssue:
    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({"first": "26 A021"}, "digits only"),
            ({"first": "26 0021 0", "count": "1"}, "26 0021 0 is not one of our"),
            ({"count": ""}, "Enter how many vials or the last number."),
            ({"count": "0"}, "Enter 1 to 2,000 vials."),
            ({"count": "20"}, "was never printed here"),
            ({"last": number(22)}, "Give how many or the last number, not both."),
            ({"first": number(20)}, "Nothing was issued"),
            ({"to": ""}, "Choose a person."),
        ],
    )
    def test_what_is_wrong(self, desk_of_office, lake, second_guide, vials, changed, sentence):
        asked = {"to": second_guide.pk, "first": number(21), "count": "3", "last": ""} | changed

        assert page_of(desk_of_office.post(url("issue", lake), asked)).count(sentence) == 2

    def test_what_was_done(self, desk_of_office, lake, guide, office, vials):
        asked = {"to": guide.pk, "first": number(21), "count": "3", "last": ""}
        issued = page_of(desk_of_office.post(url("issue", lake), asked, follow=True))
        stretch = {"first": number(1), "last": number(23)}
        back = page_of(desk_of_office.post(url("take_back", lake), stretch, follow=True))

        assert "3 vials issued to R. Ostrow" in issued
        assert "23 vials are back in the office." in back
        assert "No vials are issued." in back
        with pytest.raises(services.CannotIssue, match="is not set up to log fish"):
            services.issue(
                lake=lake, first=number(21), last=number(22), to=office, actor=office, now=NOW
            )


class TestReceive:
    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ("26 0001 0", "26 0001 0 is not one of our vial numbers."),
            ("crappie", "A vial number has digits only."),
            (number(900), "was never printed here"),
            (number(31), "belongs to another lake"),
            (number(30), "is void. Set the vial aside."),
            ("", "Enter the number on the vial"),
            (
                f"elsewhere.example/V/{number(1)}",
                "This is a link of elsewhere.example, not a label",
            ),
        ],
    )
    def test_what_is_wrong(self, desk_of_office, lake, other_lake, office, vials, typed, sentence):
        make_vials(other_lake.seasons.get(), first=31, count=1, by=office)
        services.void_vials(lake=lake, first=number(30), last=number(30), actor=office, now=NOW)

        assert sentence in page_of(desk_of_office.post(url("receive", lake), {"number": typed}))

    def test_a_content_and_its_undoing(self, desk_of_office, lake, vials, clerk, log_fish):
        log_fish(vials[2])
        services.receive(lake=lake, number=number(1), content="two", actor=clerk, now=NOW)
        address = url("receive", lake)

        again = page_of(desk_of_office.post(address, {"number": number(1)}, follow=True))
        asked = page_of(desk_of_office.post(address, {"number": number(1), "content": "one"}))
        answer = {"number": number(1), "content": "one", "was": "two"}
        changed = page_of(desk_of_office.post(address, answer, follow=True))

        assert "was already received on May 6, 2026 by D. Marrable" in again
        assert "Inside: two otoliths is on record, and you chose one otolith." in asked
        assert "inside was two otoliths, and is now one otolith" in changed
        assert "Undo: 26 0001 8 back to two otoliths" in changed
        assert "1 logged vial not received" in changed


class TestFind:
    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ("9999", "No vial of Lake Orrinbeck ends in 9999."),
            (number(900), "No vial of Lake Orrinbeck has the number"),
            ("", "Enter the number on the vial"),
            ("2", "Vials with these last digits"),
        ],
    )
    def test_what_to_type(self, desk_of_office, lake, vials, typed, sentence):
        assert sentence in page_of(desk_of_office.get(url("find", lake), {"number": typed}))

    def test_a_vial_with_a_fish(self, desk_of_office, lake, vials, log_fish):
        log_fish(vials[0])
        address = url("mark", lake, number(1))

        ask = page_of(desk_of_office.get(address, {"what": "void"}))
        void = page_of(desk_of_office.post(address, {"what": "void", "note": "torn"}))
        lost = page_of(desk_of_office.get(address, {"what": "lost"}))

        assert "A fish is logged under this number, so it cannot be voided." in ask
        assert "A fish is logged under" in void
        assert "Its fish stays logged, but counts as measured only." in lost

    def test_a_void_vial_needs_a_reason(self, desk_of_office, lake, vials):
        page = page_of(desk_of_office.post(url("mark", lake, number(1)), {"what": "void"}))

        assert "Enter why, such as label torn or cap broken." in page


class TestLife:
    def test_from_the_printer_to_the_archive(self, make_run, lake, guide, office):
        vial = make_run(count=1).vials.get()
        asked = {"lake": lake, "actor": office, "now": NOW}
        services.issue(first=vial.number, last=vial.number, to=guide, **asked)
        services.receive(number=vial.number, content="two", **asked)
        services.change_content(number=vial.number, content="broken", was="two", **asked)

        vial.refresh_from_db()
        assert [step.label for step in steps_of(vial)] + states_to_come(vial) == [
            "Printed",
            "Issued to R. Ostrow",
            "Received: two otoliths",
            "Inside: broken",
            "Clearing",
            "Ready to read",
            "Read",
            "Archived",
        ]

    def test_out_of_use_and_back(self, make_run, lake, guide, office):
        vial = make_run(count=1).vials.get()
        asked = {"lake": lake, "actor": office, "now": NOW}
        services.issue(first=vial.number, last=vial.number, to=guide, **asked)
        services.return_vials(first=vial.number, last=vial.number, **asked)
        services.mark_lost(number=vial.number, note="fell in", **asked)
        services.bring_back(number=vial.number, **asked)

        labels = [step.label for step in steps_of(vial)]

        assert {"Returned to the office", "Lost: fell in", "Returned to use: printed"} <= set(
            labels
        )


class TestLabels:
    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({"count": "0"}, "Enter how many labels: 1 to 10,000 at a time."),
            ({"count": "a lot"}, "a whole number of labels, such as 120"),
            ({"first_position": "86"}, "This stock has no position 86"),
            ({"stock": "of-another-year"}, "Choose a label stock from the list."),
            ({"season": "0"}, "Choose a season from the list."),
        ],
    )
    def test_what_to_type(self, desk_of_office, lake, season, changed, sentence):
        asked = words(**{"season": season.pk, **changed})

        assert sentence in page_of(desk_of_office.post(url("labels", lake), asked))

    def test_numbers_that_are_void(self, desk_of_office, lake, make_run):
        run = make_run(count=3)
        asked = {"void_first": number(2), "void_last": number(3), "note": "jammed"}

        page = page_of(desk_of_office.post(url("void", lake, run.pk), asked, follow=True))

        assert "2 numbers are void" in page

    def test_a_lake_without_a_season(self, desk_of_office, lake, season):
        season.delete()

        assert "Set up a season first" in page_of(desk_of_office.get(url("labels", lake)))

    def test_a_printer(self, desk_of_office, lake, season):
        asked = {"right": "a little", "down": "0", "across": "100", "along": "100"}

        page = page_of(desk_of_office.post(url("printer", lake, SHEET_CODE), asked))

        assert "Move right: enter a number with one decimal" in page

    def test_what_the_sheets_say(self):
        filling = Filling(used=frozenset(range(1, 23)))
        one, two = preview(SHEET, 23, [f"{n:04d}" for n in range(601, 721)], filling).sheets

        assert (one.title, two.title) == ("Sheet 1, partly used.", "Sheet 2, new.")
        assert one.caption == "Crossed positions are used. 63 labels, from position 23."
        assert two.caption == "57 labels; 28 positions left, from position 58."


class TestReprint:
    def test_the_end_that_was_typed_is_named(self, desk_of_office, lake, season, vials):
        asked = reprint_words(season, "1-3000")

        page = page_of(desk_of_office.post(url("reprint", lake), asked))

        assert "3000 is past the last number printed for 2026, " in page


def test_a_margin_below_nothing():
    with pytest.raises(ValidationError, match="Left margin can't be negative"):
        TypedMillimeters(label="Left margin", example="14.5").clean("-3")
