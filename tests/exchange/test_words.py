"""What the commands that bring a spreadsheet in say, word for word."""

import pytest

from samples.models import Vial
from tests.exchange.test_import import GOOD
from tests.exchange.test_rings_table import BAD_ROWS, FIRST, HEAD, LATER, SECOND
from tests.exchange.test_rings_table import GOOD as GOOD_RINGS
from tests.lab.making import put_in_lab


class TestFish:
    def test_what_it_would_do_and_did(self, lake, biologist, bring_in):
        shown = bring_in(GOOD).text
        new = bring_in(GOOD, lake="Tamsin Reservoir").text
        bring_in(GOOD, "--commit")
        again = bring_in(GOOD, "--commit").text

        assert "3 rows read for Lake Orrinbeck." in shown
        assert "Would write: 3 fish in 2 trips, 2 ages as given" in shown
        assert "Columns not used: Weather." in shown
        assert "(a new lake)" in new
        assert "Written: 0 fish" in again
        assert "3 were there already." in again

    def test_a_copy_under_another_name(self, lake, biologist, bring_in):
        bring_in(GOOD, "--commit")

        refused = bring_in(GOOD, "--commit", name="copy of fish.csv").text

        assert "Careful: 3 of these 3 fish are here already, from fish.csv." in refused
        assert "these fish are here already, from fish.csv. Import" in refused
        assert "Written" not in refused

    def test_what_to_correct(self, lake, biologist, bring_in):
        said = bring_in(
            "species,length_in,sex,arm,date,age,method\n"
            "White crappie,9.4,F,Brindle,2026-05-06,3,creel\n"
            "Pike,9.4,F,Brindle,2026-05-06,3,\n"
            "White crappie,nine,F,Brindle,2026-05-06,3,\n"
            "White crappie,9.4,X,Sorrel,May 6,three,dynamite\n"
            "White crappie,94,F,Brindle,2026-05-06,40,\n",
        ).text

        for sentence in (
            "Row 3, species: expected a species name on the list",
            "Row 4, length_in: expected a total length",
            "Row 5, sex: expected female, male, immature or not known; found X",
            "Row 5, arm: expected an arm of Lake Orrinbeck: Brindle",
            "Row 5, date: expected a date, such as 2026-05-06",
            "Row 5, age: expected an age in years, such as 3 or 3.9; found three",
            "Row 6, age: expected a usual age",
            "Nothing was written.",
        ):
            assert sentence in said

    def test_a_column_that_fails_everywhere(self, lake, biologist, bring_in):
        rows = "".join(f"White crappie,9.4,Brindle,{sex}\n" for sex in "QXZ")
        dates = "species,length_in,arm,date\n" + "White crappie,9.4,Brindle,5/6/2026\n" * 3

        sexes = bring_in(f"species,length_in,arm,sex\n{rows}").text

        assert "Every one of 3 rows, sex: expected female, male, immature" in sexes
        assert "found Q in row 2" in sexes
        assert "To correct: 1. Nothing was written." in sexes
        assert "date: expected an unambiguous date" in bring_in(dates).text

    def test_what_was_rounded_or_assumed(self, lake, biologist, bring_in):
        fine = bring_in("species,length_mm,arm\nWhite crappie,239.525,Brindle\n").text
        aged = bring_in("species,length_in,arm,age\nWhite crappie,9.4,Brindle,3.9\n").text

        assert "1 length finer than 0.01 mm, rounded: 239.525 became 239.53 mm." in fine
        assert "1 decimal age, made whole years by the January 1 birthdate: 3.9 became" in aged
        assert "date: not known, season 2026" in aged

    @pytest.mark.parametrize(
        ("content", "options", "sentence"),
        [
            ("species,arm\nWhite crappie,Brindle\n", {}, "No column of total lengths"),
            ("species,length_mm\n", {}, "no row of fish"),
            (b"PK\x03\x04\x00\x00", {}, "Save the sheet as CSV"),
            (GOOD, {"lake": "Orrinbeck"}, "There is no lake Orrinbeck, but there is Lake"),
        ],
    )
    def test_why_it_cannot_begin(self, lake, biologist, bring_in, content, options, sentence):
        assert sentence in bring_in(content, **options).text

    def test_unusual_values_and_taken_vials(self, lake, biologist, vials, bring_in):
        head = "vial,species,length_in,arm\n"
        bring_in(f"{head}26 0001 8,White crappie,9.4,Brindle\n", "--commit")

        taken = bring_in(f"{head}2600018,White crappie,7.0,Brindle", name="again.csv").text
        unusual = bring_in(f"{head}2600026,White crappie,94,Brindle\n", name="b.csv").text

        assert "Row 2, vial: expected Another fish is logged in this vial." in taken
        assert "expected Is this 9.4 inches? Add --confirm-unusual if it is right" in unusual


class TestRings:
    @pytest.fixture
    def bring_in(self, bring_rings_in, monkeypatch, vials, party, white):
        for vial in vials[:2]:
            put_in_lab(vial, party, white)
        monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
        return bring_rings_in

    @pytest.mark.parametrize(("row", "column", "sentence", "found"), BAD_ROWS)
    def test_a_bad_row(self, bring_in, row, column, sentence, found):
        [wrong] = bring_in(HEAD + SECOND + row + "\n").report.bad

        assert sentence in wrong.expected
        assert wrong.expected.endswith((".", "?"))

    def test_what_it_would_do_and_did(self, bring_in):
        shown = bring_in(GOOD_RINGS).text
        bring_in(GOOD_RINGS, "--commit")
        again = bring_in(GOOD_RINGS, "--commit").text

        assert "2 readings for lake orrinbeck, radii in micrometers." in shown
        assert "Would write: 2 new readings with their rings" in shown
        assert "Nothing was written. Add --commit to write." in shown
        assert "Written: 0 new readings" in again
        assert "2 were there already." in again

    def test_what_to_correct(self, bring_in, vials):
        twice = bring_in(HEAD + FIRST + FIRST.replace(",900", ",910"))
        Vial.objects.filter(pk=vials[0].pk).update(state=Vial.State.VOID)
        void = bring_in(HEAD + FIRST)

        assert "Row 3, vial: Row 2 has the same vial, date and method." in twice.text
        assert "1 problem to fix; nothing was written." in twice.text
        assert "This vial is void." in void.text

    @pytest.mark.parametrize(
        ("text", "options", "sentence"),
        [
            ("vial,annuli\n2600018,3\n", [], "No column of reading methods"),
            (HEAD, [], "no row of readings below its headings"),
            (HEAD.replace("method", "other") + FIRST, [], "The headings found are: "),
            (GOOD_RINGS, ["--by", "nobody"], "Nobody signs in as nobody."),
            (GOOD_RINGS, ["--lake", "Far Pond"], "There is no lake called Far Pond."),
            (
                GOOD_RINGS.replace("edge radius", "edge radius (pixels)"),
                [],
                "The radii are in pixels. Convert them to micrometers with the image scale.",
            ),
        ],
    )
    def test_why_it_cannot_begin(self, bring_in, text, options, sentence):
        assert sentence in bring_in(text, *options).text

    def test_who_reads_no_otoliths(self, bring_in, office):
        assert (
            "is not a reader at Lake Orrinbeck"
            in bring_in(GOOD_RINGS, "--by", office.username).text
        )
