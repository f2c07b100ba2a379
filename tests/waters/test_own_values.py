"""A lake's own values of a species beside the shared list, which no lake's biologist changes."""

import pytest

from samples.lab.services.ages import oldest_plausible
from samples.models import Fish, LakeGroup, LakeSpecies, NumberYear, Species
from samples.ramp.queries import pick_lists, species_on_form
from tests.factories import make_fish
from tests.people import INCH, NOW
from tests.ramp import entries
from tests.ramp.taking import outcomes, take
from tests.shown import error_codes
from tests.waters.figures import SPECIES_DAYS

CALENDAR = {
    "bin_width_hundredths_mm": "1",
    **SPECIES_DAYS,
}


@pytest.fixture
def row(lake, white):
    return LakeSpecies.objects.get(lake=lake, species=white)


@pytest.fixture
def desk(client, biologist):
    client.force_login(biologist)
    return client


def save(desk, row, **words):
    return desk.post(f"/lakes/{row.lake.slug}/set-up/species/{row.pk}/", CALENDAR | words)


def stored(row):
    row.refresh_from_db()
    return row.species_here


def test_a_lakes_own_values_hold_there_and_the_shared_list_stays(
    desk, row, lake, other_lake, white
):
    answer = save(
        desk, row, plausible_max_hundredths_mm="14", plausible_max_age_years="9", spines_max="7"
    )

    assert answer.status_code == 302
    here, there = (species_on_form(place)[0] for place in (lake, other_lake))
    assert here.plausible_max_hundredths_mm == 14 * INCH
    assert (here.plausible_max_age_years, here.spines_min, here.spines_max) == (9, 5, 7)
    assert there.plausible_max_hundredths_mm == 20 * INCH
    assert Species.objects.get(pk=white.pk).plausible_max_age_years == 12


def test_emptied_the_shared_value_holds_again(desk, row, white):
    save(desk, row, plausible_max_age_years="9", marks="dark bars")
    assert stored(row).marks == "dark bars"

    save(desk, row)

    assert (stored(row).plausible_max_age_years, stored(row).marks) == (12, white.marks)


def test_the_ramp_asks_by_the_lakes_own_values(row, guide, party, vials):
    row.plausible_max_hundredths_mm = 9 * INCH
    row.save()

    answers = take(guide, entries.fish(party.party_id, vials[0].number, length="9.4"))

    assert outcomes(answers) == [("refused", "needs_answer")]
    assert not Fish.objects.exists()


def test_the_phone_is_told_the_lakes_own_values_and_words(row, lake, guide):
    row.plausible_min_hundredths_mm, row.marks = 3 * INCH, "dark bars"
    row.save()
    LakeGroup.objects.create(lake=lake, group=row.species.group, helper_heading="Count spines")

    [told] = pick_lists(guide, now=NOW)["lakes"]

    white = told["species"][0]
    assert (white["least_hundredths_mm"], white["marks"]) == (3 * INCH, "dark bars")
    assert told["groups"] == [
        {"name": "Crappies", "heading": "Count spines", "words": "", "caution": ""}
    ]


def test_the_lab_asks_by_the_lakes_own_oldest_age(row, party, white, vials):
    fish = make_fish(party, white, vial=vials[0])
    shared = oldest_plausible(fish, row)
    row.plausible_max_age_years = 7

    assert (shared, oldest_plausible(fish, row), oldest_plausible(fish, None)) == (12, 7, 12)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("plausible_max_hundredths_mm", "1"),
        ("plausible_min_hundredths_mm", "21"),
        ("spines_max", "4"),
    ],
)
def test_values_out_of_order_with_the_shared_ones_are_told_beside_the_field(
    desk, row, field, value
):
    answer = save(desk, row, **{field: value})

    assert answer.status_code == 422
    assert error_codes(answer) == {field: ["out_of_order"]}
    assert stored(row).plausible_max_hundredths_mm == 20 * INCH


def test_the_page_says_what_the_shared_list_has(desk, row, white):
    page = desk.get(f"/lakes/lake-orrinbeck/set-up/species/{row.pk}/").content.decode()

    assert ": 20.0 in</p>" in page
    assert f": {white.marks}</p>" in page


def test_own_words_of_a_helper_hold_at_this_lake_alone(desk, row, lake, other_lake):
    group = row.species.group
    shared = group.helper_heading
    desk.post(f"/lakes/lake-orrinbeck/set-up/groups/{group.pk}/", {"helper_heading": "Our way"})

    here, there = (species_on_form(place)[0].group for place in (lake, other_lake))
    assert (here.helper_heading, here.helper_words) == ("Our way", "")
    assert there.helper_heading == shared
    group.refresh_from_db()
    assert group.helper_heading == shared


def test_a_biologist_changes_nothing_that_all_lakes_share(desk, white):
    page = f"/lakes/lake-orrinbeck/set-up/species/{white.pk}/everywhere/"

    assert desk.get(page).status_code == 403
    assert desk.post(page, {"name": "Mine"}).status_code == 403
    listed = desk.get("/lakes/lake-orrinbeck/set-up/species/").content.decode()
    assert "/everywhere/" not in listed


def test_the_administrator_of_the_site_changes_the_shared_list(client, biologist, white):
    biologist.is_superuser = True
    biologist.save()
    client.force_login(biologist)

    page = client.get(f"/lakes/lake-orrinbeck/set-up/species/{white.pk}/everywhere/")

    assert page.status_code == 200
    assert page.context["form"].initial["name"] == white.name


def test_the_administrator_sets_the_width_of_a_year_before_its_first_number(admin_client, lake):
    page = "/office/admin/samples/numberyear/"
    admin_client.post(f"{page}add/", {"year": "2027", "digits": "5"})
    year = NumberYear.objects.get(year=2027)

    changed = admin_client.post(f"{page}{year.pk}/change/", {"digits": "6"})

    year.refresh_from_db()
    assert (changed.status_code, year.digits) == (302, 6)
    NumberYear.objects.update(last_sequence=1)
    assert admin_client.post(f"{page}{year.pk}/change/", {"digits": "4"}).status_code == 403
