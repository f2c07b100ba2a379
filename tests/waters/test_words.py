"""What people read where a lake is set up, word for word."""

from decimal import Decimal

import pytest

from samples.models import TagReturns
from samples.units import LengthUnit
from samples.waters import forms, services
from samples.waters.rules import Unwritable, bin_width_problem, read_month_day, share_of_percent
from tests.factories import make_fish
from tests.people import INCH
from tests.waters.figures import SPECIES_DAYS
from tests.waters.test_elsewhere import address
from tests.waters.typed import CREEL

# The kind, what is typed otherwise than well, the field that says so, and what it says.
WRONG = [
    ("natural_death", {"species": ""}, "species", "Choose a species."),
    ("natural_death", {"source": " "}, "source", "Enter the report, paper or survey."),
    ("natural_death", {"as_of": ""}, "as_of", "Enter a date, such as April 18, 2026."),
    ("natural_death", {"as_of": "2019"}, "as_of", "May 6, 2026"),
    ("natural_death", {"as_of": "1 January 2999"}, "as_of", "in the future"),
    ("natural_death", {"given_as": ""}, "given_as", "Choose percent or M."),
    ("natural_death", {"least": ""}, "least", "Enter the low"),
    ("natural_death", {"least": "some"}, "least", "one number"),
    ("natural_death", {"least": "0"}, "least", "above 0"),
    ("natural_death", {"least": "0.24"}, "least", "24 if you mean 0.24. To enter M"),
    ("natural_death", {"middle": "20"}, "middle", "below the low"),
    ("natural_death", {"most": "29"}, "most", "below the best estimate"),
    ("natural_death", {"most": "100"}, "most", "less than 100"),
    ("natural_death", {"most": "130"}, "most", "from 0 to 100"),
    ("natural_death", {"oldest_years": "0"}, "oldest_years", "1 year or more"),
    ("release_death", {"middle": "10"}, "middle", "in order"),
    ("release_death", {"most": "25"}, "most", "in order"),
    ("release_death", {"most": "0.45"}, "most", "45 if you mean 0.45"),
    ("tag_returns", {"season": ""}, "season", "Choose a season."),
    ("tag_returns", {"tags_out": "0"}, "tags_out", "1 or more"),
    ("tag_returns", {"tags_out": "many"}, "tags_out", "whole number"),
    ("tag_returns", {"returned": "201"}, "returned", "Only 200 tags went out"),
    ("tag_returns", {"returned_released": "170"}, "returned_released", "more than 200"),
    ("tag_returns", {"high_reward_out": "50"}, "high_reward_returned", "Enter both"),
    ("tag_returns", {"high_reward_returned": "5"}, "high_reward_out", "Enter both"),
    (
        "tag_returns",
        {"high_reward_out": "50", "high_reward_returned": "51"},
        "high_reward_returned",
        "Only 50 high-reward tags",
    ),
    ("tag_returns", {"returned": "150"}, "reporting_least", "every tagged fish was caught"),
    ("tag_returns", {"reporting_least": "90"}, "reporting_most", "below the low"),
    ("tag_returns", {"reporting_least": "0"}, "reporting_least", "above 1"),
    ("tag_returns", {"tags_kept": "1"}, "tags_kept", "100 if all"),
    ("tag_returns", {"survived_tagging": ""}, "survived_tagging", "100 if none died"),
    ("creel_figures", {"released": "0.4"}, "released", "40 if you mean 0.4"),
    ("creel_figures", {"caught": "-3"}, "caught", "0 or more"),
    (
        "creel_figures",
        {"smallest_kept_hundredths_mm": "big"},
        "smallest_kept_hundredths_mm",
        "such as 10.1",
    ),
    ("creel_figures", dict.fromkeys(CREEL, ""), "angler_hours", "at least one figure"),
]


@pytest.mark.parametrize(("name", "changes", "field", "sentence"), WRONG)
def test_a_figure_that_cannot_stand(signed_in, lake, typed, name, changes, field, sentence):
    answer = signed_in.post(address(lake, f"add_{name}"), typed[name] | changes)

    assert sentence in answer.context["form"].errors[field][0]


@pytest.mark.parametrize(
    ("unit", "width", "sentence"),
    [
        ("in", 2000, "Enter inches in whole tenths, such as 1 or 0.5."),
        ("mm", 2540, "Enter whole millimeters, such as 25 or 20."),
        ("in", 12 * INCH, "Enter a bin width of 10 in or less."),
    ],
)
def test_a_bin_that_cannot_be_named(unit, width, sentence):
    assert bin_width_problem(width, LengthUnit(unit)) == sentence


def test_days_and_shares():
    with pytest.raises(Unwritable, match=r"Enter the month and the day, such as April 1\."):
        read_month_day("4/1")
    with pytest.raises(Unwritable, match=r"Enter percent, not a share: 30 if you mean 0\.3\."):
        share_of_percent(Decimal("0.30"))
    lost = forms.EditLake({"name": "x", "length_unit": "in", "time_zone": "Central"})
    assert lost.errors["time_zone"][0].startswith("Choose a time zone from the list")


def test_why_a_place_stays(signed_in, lake, brindle, party, white, figures):
    removed = address(lake, "remove_arm", brindle.pk)
    in_use = signed_in.post(removed, follow=True)
    TagReturns.objects.all().delete()
    fish = make_fish(party, white, reach=party.arm.reaches.get(name="Lower"))

    with pytest.raises(services.ChangeRefused) as arm:
        services.remove_arm(party.arm)
    with pytest.raises(services.ChangeRefused) as reach:
        services.remove_reach(fish.reach)

    assert "Brindle. Rename it instead." in in_use.content.decode()
    assert arm.value.sentence == "1 fish was logged in Brindle. Rename it instead."
    assert reach.value.sentence.startswith("1 fish was logged in Lower, Brindle")


def test_a_season(signed_in, lake, season):
    typed = {"name": "2027", "number_year": "2028", "starts_on": "2027-01-01"}
    typed |= {"ends_on": "2028-03-31", "permit_number": "SC-27-002", "permit_until": "2027-06-30"}
    add = address(lake, "add_season")

    other_year = signed_in.post(add, typed | {"number_year": "2029"}).content.decode()
    overlaps = signed_in.post(add, typed | {"starts_on": "2026-12-01"}).content.decode()
    signed_in.post(add, typed)
    shown = signed_in.get(address(lake, "lake")).content.decode()

    assert "Enter 2027 or 2028: the season is in that year." in other_year
    assert "overlap: change the dates." in overlaps
    assert "It expires before the season ends." in shown


def test_what_a_change_of_unit_does(signed_in, lake):
    typed = {
        "name": "Lake Orrinbeck",
        "length_unit": "mm",
        "weight_unit": "g",
        "time_zone": "America/Denver",
    }

    page = signed_in.post(address(lake, "edit_lake"), typed, follow=True).content.decode()

    assert "stored lengths stay as measured" in page
    assert "White crappie: bins are now 25 mm wide." in page


def test_species_and_their_shared_values(signed_in, lake, white, client, biologist):
    row = address(lake, "lake_species", lake.lake_species.get(species=white).pk)
    shown = signed_in.get(row).content.decode()
    typed = {**SPECIES_DAYS, "bin_width_hundredths_mm": "1"}
    spines = signed_in.post(row, typed | {"spines_max": "4"}).content.decode()
    lengths = signed_in.post(row, typed | {"plausible_max_hundredths_mm": "1"}).content.decode()
    emptied = signed_in.post(row, {"hatch": "15 May"}).content.decode()
    hybrid = signed_in.post(address(lake, "add_species"), {"kind": "hybrid"}).content.decode()

    assert "Leave empty to use the shared list: 20.0 in" in shown
    assert "Leave empty to use the shared list: bars down the side" in shown
    assert "Enter the fewest spines or more." in spines
    assert "Enter a length above the shortest." in lengths
    assert "enter a month and day" in emptied
    assert "A hybrid has two parents. Choose both." in hybrid


def test_what_is_missing(signed_in, lake):
    shown = signed_in.get(address(lake, "elsewhere")).content.decode()

    assert "No tag returns yet.</strong> Without them, fishing mortality is" in shown
    assert "No regulation entered." in shown
