"""The list of fish: its columns, its order, and the files that hold the same."""

import csv
import io
from datetime import date

import openpyxl
import pytest
from django.urls import reverse

from samples.accounts import permissions
from samples.accounts.permissions import Permission
from samples.models import Age, AgeAsGiven, Donor, Progress
from samples.targets.presenters.fish_table import DASH
from tests.people import NOW
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db

FORMULA = "=1+1"


def age_of(fish, years, standing="agreed"):
    Age.objects.create(
        fish=fish, standing=standing, age_years=years, rule="test", worked_out_at=NOW
    )


def shown_by(answer):
    """Return the lines of the page as {head: text}."""
    return [{cell.head: cell.text for cell in line.cells} for line in answer.context["lines"]]


def rows_of(answer):
    text = b"".join(answer.streaming_content).decode()
    return list(csv.DictReader(io.StringIO(text)))


def sheet_of(answer):
    book = openpyxl.load_workbook(io.BytesIO(b"".join(answer.streaming_content)))
    return book["Fish"]


@pytest.fixture
def without_donors(monkeypatch):
    """Take from the biologist the right to see who donated, and no other."""
    granted = permissions.GRANTS["biologist"] - {Permission.SEE_DONORS}
    monkeypatch.setitem(permissions.GRANTS, "biologist", granted)


class TestColumns:
    def test_are_those_chosen_and_the_vial(self, page, party, white):
        make_fish(party, white, 10.2, weight_g=310)

        [line] = shown_by(page("fish", col=["weight", "length"]))

        assert line == {"Vial": "no vial", "Length, in": "10.2", "Weight, g": "310"}

    def test_leave_the_species_out_where_there_is_one(self, page, party, white):
        make_fish(party, white, 10.2)

        [of_all] = shown_by(page("fish"))
        [of_one] = shown_by(page("fish", species=white.code))

        assert of_all["Species"] == white.name
        assert of_all.keys() - of_one.keys() == {"Species"}

    def test_tell_ages_as_given_from_ages_to_agree_on(self, page, party, white):
        given, open_ = make_fish(party, white, 10.2, count=2)
        AgeAsGiven.objects.create(fish=given, age_years=4, structure="otolith", source="old.csv")
        type(given).objects.filter(pk=given.pk).update(progress=Progress.AGE_AS_GIVEN)
        age_of(open_, None, "to_settle")

        lines = shown_by(page("fish", col=["age", "status"], sort="age"))

        assert [line["Age, years"] for line in lines] == ["4", "–"]
        assert len({line["Status"] for line in lines}) == 2

    def test_tag_number_and_note_are_told_where_they_are_asked_for(self, page, party, white):
        make_fish(party, white, 10.2, tag_number="T 0412", note="Fin clipped")
        make_fish(party, white, 11.2)
        chosen = {"col": ["tag_number", "note"], "sort": "tag_number"}

        lines = shown_by(page("fish", **chosen))

        assert [list(line.values())[1:] for line in lines] == [
            ["T 0412", "Fin clipped"],
            [DASH] * 2,
        ]
        assert not {"Tag number", "Note"} & shown_by(page("fish"))[0].keys()
        files = page("fish_csv", **chosen), page("fish_xlsx", **chosen)
        assert list(rows_of(files[0])[0].values())[1:] == ["T 0412", "Fin clipped"]
        assert [cell.value for cell in sheet_of(files[1])[2]][1:] == ["T 0412", "Fin clipped"]

    def test_name_somebody_without_a_name_on_screen_as_they_sign_in(
        self, page, party, white, guide, clerk
    ):
        make_fish(party, white, 10.2)
        make_fish(party, white, 11.2, logged_by=clerk)
        type(guide).objects.filter(pk=guide.pk).update(display_name="", username="zander")

        lines = shown_by(page("fish", col=["logged_by"], sort="logged_by"))

        assert [line["Logged by"] for line in lines] == [clerk.display_name, "zander"]

    def test_stay_chosen_on_the_next_page_in_another_order_and_in_files(self, page, party, white):
        make_fish(party, white, 10.2, count=60)

        first = page("fish", col=["weight"], sort="weight", page="1").content.decode()

        assert "?col=weight&amp;sort=weight&amp;page=2" in first
        assert "?col=weight&amp;sort=weight&amp;order=down" in first
        assert "fish.xlsx?col=weight&amp;sort=weight" in first


class TestOrder:
    @pytest.mark.parametrize(
        ("sort", "head", "up"),
        [
            ("length", "Length, in", ["9.0", "10.0", "11.0"]),
            ("age", "Age, years", ["3", "5", "–"]),
            ("caught", "Caught", ["May 1, 2026", "May 6, 2026", "not known"]),
            ("donor", "Donor", ["A. Alder", "Z. Zelk", "not named"]),
        ],
    )
    def test_goes_both_ways_with_missing_values_last(self, page, party, white, sort, head, up):
        donors = [Donor.objects.create(lake=party.lake, name=n) for n in ("Z. Zelk", "A. Alder")]
        [first] = make_fish(party, white, 9.0, donor=donors[0])
        [second] = make_fish(party, white, 10.0, donor=donors[1], caught_on=date(2026, 5, 1))
        make_fish(party, white, 11.0, donor=None, caught_on=None)
        age_of(first, 5)
        age_of(second, 3)

        def values(order):
            return [line[head] for line in shown_by(page("fish", sort=sort, order=order))]

        assert values("up") == up
        down = up[::-1] if sort == "length" else [up[1], up[0], up[2]]
        assert values("down") == down

    def test_is_told_in_the_head(self, page, party, white):
        make_fish(party, white, 10.2)

        shown = page("fish", sort="length", order="down").content.decode()

        assert shown.count("aria-sort=") == 1
        assert 'class="figure-cell" aria-sort="descending"' in shown


class TestFiles:
    def test_hold_every_page_with_the_columns_and_the_order_of_the_screen(self, page, party, white):
        for tenths in range(60):
            make_fish(party, white, round(8 + tenths / 10, 1), sex="M" if tenths else "F")
        query = {"col": ["sex", "length"], "sort": "length", "order": "down", "sex": "M"}

        on_screen = page("fish", **query)
        rows = rows_of(page("fish_csv", **query))
        sheet = sheet_of(page("fish_xlsx", **query))

        assert len(rows) == on_screen.context["page"].paginator.count == 59
        heads = [head.text for head in on_screen.context["heads"]]
        assert list(rows[0]) == heads == [cell.value for cell in sheet[1]]
        assert [row["Length, in"] for row in rows[:50]] == [
            line["Length, in"] for line in shown_by(on_screen)
        ]
        in_sheet = [row[1] for row in sheet.iter_rows(min_row=2, values_only=True)]
        assert in_sheet == [float(row["Length, in"]) for row in rows]

    def test_are_sent_as_they_are_made(self, page, party, white):
        make_fish(party, white, 10.2)

        assert page("fish_csv").streaming
        assert page("fish_xlsx").streaming

    def test_give_a_spreadsheet_no_formula(self, page, party, white):
        donor = Donor.objects.create(lake=party.lake, name=FORMULA)
        make_fish(party, white, 10.2, donor=donor)

        [row] = rows_of(page("fish_csv"))
        sheet = sheet_of(page("fish_xlsx"))

        assert row["Donor"] == f"'{FORMULA}"
        [cell] = [cell for cell in sheet[2] if cell.value == FORMULA]
        assert cell.data_type == "s"

    def test_hold_numbers_and_dates_as_such(self, page, party, white, vials):
        [fish] = make_fish(party, white, 10.2, vial=vials[0])
        age_of(fish, 4)
        query = {"col": ["length", "age", "caught"]}

        [_, length, age, caught] = sheet_of(page("fish_xlsx", **query))[2]
        [row] = rows_of(page("fish_csv", **query))

        assert (length.value, age.value, caught.value.date()) == (10.2, 4, fish.caught_on)
        assert row == {
            "Vial": "26 0001 8", "Length, in": "10.2", "Age, years": "4", "Caught": "2026-05-06",
        }  # fmt: skip

    def test_are_named_by_lake_species_and_season(self, page, white, party):
        answer = page("fish_csv", species=white.code, season="2026")

        assert (
            'filename="fish-lake-orrinbeck-white-crappie-2026.csv"'
            in (answer["Content-Disposition"])
        )


class TestDonors:
    def test_are_neither_shown_nor_sorted_by_without_the_right(
        self, page, party, white, without_donors
    ):
        first, second = (
            Donor.objects.create(lake=party.lake, name=name) for name in ("B. Birch", "A. Alder")
        )
        make_fish(party, white, 9.0, donor=first)
        make_fish(party, white, 10.0, donor=second)
        query = {"col": ["length", "donor"], "sort": "donor"}

        screen = page("fish", **query)
        rows = rows_of(page("fish_csv", **query))
        sheet = sheet_of(page("fish_xlsx", **query))

        lengths = [{"Vial": "", "Length, in": one} for one in ("9.0", "10.0")]
        assert rows == lengths
        assert [cell.value for cell in sheet[1]] == ["Vial", "Length, in"]
        assert "Alder" not in screen.content.decode()
        assert 'value="donor"' not in screen.content.decode()

    def test_of_a_choice_that_names_them_are_left_out_for_others(
        self, page, party, white, without_donors
    ):
        make_fish(party, white, 9.0)

        assert page("fish", col=["donor"], sort="donor").context["form"].errors == {}


@pytest.mark.parametrize("name", ["fish_csv", "fish_xlsx"])
@pytest.mark.parametrize("who", ["guide", "clerk", "office", "reader"])
def test_files_are_for_those_who_see_every_fish(client, request, lake, party, white, name, who):
    make_fish(party, white, 9.0)
    client.force_login(request.getfixturevalue(who))

    assert client.get(reverse(f"targets:{name}", args=[lake.slug])).status_code == 403
