"""What may be typed on the pages of a lake, and what is said beside a field."""

from datetime import date

import pytest

from samples.models import LakeSpecies, Regulation, Species
from samples.rules.season_days import MonthDay
from samples.units import LengthUnit
from samples.waters import forms
from samples.waters.rules import Unwritable, bin_width_for, calendar_problem, read_month_day
from tests.people import INCH
from tests.shown import error_codes

CALENDAR = {
    "annulus_starts": "1 April",
    "annulus_ends": "June 30",
    "hatch": "15 may",
    "growth_starts": "15 Apr",
    "growth_ends": "10-15",
}


@pytest.mark.parametrize("text", ["1 April", "April 1", " 1  apr. ", "04-01", "April 1,"])
def test_days_of_the_year_as_people_write_them(text):
    assert read_month_day(text) == MonthDay(4, 1)


@pytest.mark.parametrize("text", ["4/1", "1 Ma", "31 June", "April", "1 April 2026", "", "1 2"])
def test_a_day_that_could_be_two_or_none_is_asked_again(text):
    with pytest.raises(Unwritable) as refused:
        read_month_day(text)

    assert refused.value.code == "no_day"


@pytest.mark.parametrize(
    ("width", "unit", "fits"),
    [
        (2540, "mm", 2500),
        (1270, "mm", 1000),
        (2500, "in", 2540),
        (1000, "in", 1270),
        (2, "mm", 1000),
    ],
)
def test_a_bin_that_has_no_name_in_a_unit_becomes_the_nearest(width, unit, fits):
    assert bin_width_for(width, LengthUnit(unit)) == fits


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"annulus_ends": MonthDay(3, 1)}, "annulus_ends"),
        ({"growth_ends": MonthDay(4, 15)}, "growth_ends"),
        ({"hatch": MonthDay(11, 1)}, "hatch"),
        ({}, None),
    ],
)
def test_days_follow_each_other(changes, field):
    days = {name: read_month_day(text) for name, text in CALENDAR.items()}

    problem = calendar_problem({**days, **changes})

    assert (problem[0] if problem else None) == field


class TestLakeSpecies:
    def form(self, *, unit="in", row=None, **typed):
        row = row or LakeSpecies()
        words = {"bin_width_hundredths_mm": "1", **CALENDAR, **typed}
        return forms.LakeSpeciesForm(words, unit=unit, row=row)

    def test_days_come_out_as_they_are_stored(self):
        form = self.form(age_0_below_hundredths_mm="6")

        assert form.is_valid(), form.errors
        assert form.cleaned_data["annulus_ends"] == "06-30"
        assert form.cleaned_data["growth_ends"] == "10-15"
        assert form.cleaned_data["bin_width_hundredths_mm"] == INCH
        assert form.cleaned_data["age_0_below_hundredths_mm"] == 6 * INCH
        assert form.cleaned_data["early_annulus_counts_for_next_year"] is False

    def test_shows_stored_days_in_words_and_the_width_without_a_tenth(self):
        form = forms.LakeSpeciesForm(unit="in", row=LakeSpecies())

        assert form["annulus_starts"].value() == "April 1"
        assert form["bin_width_hundredths_mm"].value() == "1"

    @pytest.mark.parametrize(
        ("unit", "width", "stored"),
        [("in", "0.5", 1270), ("mm", "20 mm", 2000)],
    )
    def test_widths(self, unit, width, stored):
        form = self.form(unit=unit, bin_width_hundredths_mm=width)

        assert form.is_valid(), form.errors
        assert form.cleaned_data["bin_width_hundredths_mm"] == stored

    @pytest.mark.parametrize(
        ("unit", "width", "code"),
        [
            ("in", "20 mm", "bin_width"),
            ("mm", "1 in", "bin_width"),
            ("in", "12", "bin_width"),
            ("in", "wide", "not_a_length"),
            ("in", "", "required"),
        ],
    )
    def test_a_width_that_cannot_be_named(self, unit, width, code):
        form = self.form(unit=unit, bin_width_hundredths_mm=width)

        assert form.has_error("bin_width_hundredths_mm", code)

    def test_the_window_ends_after_it_starts(self):
        form = self.form(annulus_ends="1 March")

        assert form.has_error("annulus_ends", "out_of_order")
        assert form["annulus_ends"].value() == "1 March"


@pytest.mark.django_db
class TestLengthsStayExact:
    def test_a_length_left_as_shown_is_not_rounded(self):
        rule = Regulation(words="x", minimum_length_hundredths_mm=13_000)
        shown = forms.RegulationForm(unit="in", rule=rule, choices=[])
        typed = {"in_force_from": "1 May 2026", "words": "At least 130 mm."}
        typed["minimum_length_hundredths_mm"] = shown["minimum_length_hundredths_mm"].value()

        form = forms.RegulationForm(typed, unit="in", rule=rule, choices=[])

        assert typed["minimum_length_hundredths_mm"] == "5.1"
        assert form.is_valid(), form.errors
        assert form.cleaned_data["minimum_length_hundredths_mm"] == 13_000

    def test_a_length_that_is_emptied_is_gone(self):
        rule = Regulation(words="x", minimum_length_hundredths_mm=13_000)
        typed = {"in_force_from": "1 May 2026", "words": "No minimum."}

        form = forms.RegulationForm(typed, unit="in", rule=rule, choices=[])

        assert form.is_valid(), form.errors
        assert form.cleaned_data["minimum_length_hundredths_mm"] is None


def test_a_time_zone_is_one_of_the_list():
    typed = {"name": "Lake Orrinbeck", "length_unit": "in", "weight_unit": "g"}

    found = forms.EditLake({**typed, "time_zone": "america/chicago"})
    lost = forms.EditLake({**typed, "time_zone": "Central"})

    assert found.is_valid(), found.errors
    assert found.cleaned_data["time_zone"] == "America/Chicago"
    assert lost.has_error("time_zone", "no_zone")


def test_a_season_carries_one_of_its_years():
    typed = {"name": "Winter", "starts_on": "1 November 2026", "ends_on": "2027-03-31"}

    wrong = forms.SeasonForm(
        {**typed, "number_year": "2028"}, season=None, first_day=date(2026, 11, 1)
    )
    right = forms.SeasonForm(
        {**typed, "number_year": "2027"}, season=None, first_day=date(2026, 11, 1)
    )

    assert wrong.has_error("number_year", "other_year")
    assert right.is_valid(), right.errors


@pytest.mark.django_db
def test_ranges_of_a_species_are_in_order(crappies):
    typed = {
        "name": "Rock bass",
        "short_name": "Rock bass",
        "kind": "species",
        "plausible_min_hundredths_mm": "14",
        "plausible_max_hundredths_mm": "2",
        "plausible_max_age_years": "900",
        "spines_min": "12",
        "spines_max": "11",
    }

    form = forms.SpeciesForm(typed, unit="in", species=Species(), parents=[])

    assert set(form.errors) == {
        "plausible_max_hundredths_mm",
        "plausible_max_age_years",
        "spines_max",
    }


def test_a_day_that_did_not_come_with_the_form_is_asked_for(client, biologist, lake):
    client.force_login(biologist)
    row = lake.lake_species.first()

    answer = client.post(f"/lakes/lake-orrinbeck/set-up/species/{row.pk}/", {"hatch": "15 May"})

    assert answer.status_code == 422
    codes = error_codes(answer)
    assert [codes.pop("bin_width_hundredths_mm"), codes.pop("annulus_starts")] == [["required"]] * 2
    assert "hatch" not in codes
