"""Pages of a lake: who gets in, what is saved, and what is kept when it is not."""

from datetime import date

import pytest
from django.urls import reverse

from samples.models import Arm, LakeSpecies, Reach, Regulation, Season, Species
from tests.chromium import DESK, PHONE
from tests.people import INCH
from tests.shown import error_codes, message_tags
from tests.waters.figures import SPECIES_DAYS

PAGES = [
    "lake",
    "edit_lake",
    "arms",
    "species",
    "take_up",
    "add_species",
    "seasons",
    "add_season",
    "regulations",
    "add_regulation",
]


@pytest.fixture
def rule(lake, white):
    return Regulation.objects.create(
        lake=lake,
        species=white,
        in_force_from=date(2024, 3, 1),
        words="White crappie: 10 in and over.",
        minimum_length_hundredths_mm=10 * INCH,
        daily_limit=15,
        source="State fishing guide 2024, page 12",
    )


def address(lake, name, *args):
    return reverse(f"waters:{name}", args=[lake.slug, *args])


def pages_with_a_row(lake, white, rule):
    arm = lake.arms.get(name="Brindle")
    return [
        address(lake, "arm", arm.pk),
        address(lake, "add_reach", arm.pk),
        address(lake, "reach", arm.reaches.first().pk),
        address(lake, "lake_species", lake.lake_species.get(species=white).pk),
        address(lake, "group", white.group_id),
        address(lake, "season", lake.seasons.get().pk),
        address(lake, "regulation", rule.pk),
    ]


class TestWhoGetsIn:
    @pytest.mark.parametrize(
        ("who", "status"),
        [
            ("biologist", 200),
            ("office", 403),
            ("reader", 403),
            ("clerk", 403),
            ("guide", 403),
            ("stranger", 404),
        ],
    )
    def test_pages(self, client, request, lake, white, rule, who, status):
        client.force_login(
            request.getfixturevalue(who), backend="django.contrib.auth.backends.ModelBackend"
        )
        pages = [address(lake, name) for name in PAGES] + pages_with_a_row(lake, white, rule)

        assert {page: client.get(page).status_code for page in pages} == dict.fromkeys(
            pages, status
        )

    def test_nobody_is_sent_to_sign_in(self, client, lake):
        answer = client.get(address(lake, "lake"))

        assert answer.status_code == 302
        assert answer.url.startswith("/sign-in/")

    @pytest.mark.parametrize("who", ["office", "guide", "stranger"])
    def test_buttons(self, client, request, lake, brindle, who):
        client.force_login(
            request.getfixturevalue(who), backend="django.contrib.auth.backends.ModelBackend"
        )

        answer = client.post(address(lake, "remove_arm", brindle.pk))

        assert answer.status_code == (404 if who == "stranger" else 403)
        assert Arm.objects.filter(pk=brindle.pk).exists()


class TestOtherLakes:
    def test_rows_of_another_lake_are_not_there(self, signed_in, lake, other_lake):
        arm = other_lake.arms.first()
        pages = [
            address(lake, "arm", arm.pk),
            address(lake, "reach", arm.reaches.first().pk),
            address(lake, "lake_species", other_lake.lake_species.get().pk),
            address(lake, "season", other_lake.seasons.get().pk),
        ]

        assert [signed_in.get(page).status_code for page in pages] == [404] * 4
        assert signed_in.post(address(lake, "remove_arm", arm.pk)).status_code == 404


class TestSaving:
    def test_lake(self, signed_in, lake):
        words = {
            "name": "Lake Orrinbeck",
            "length_unit": "mm",
            "weight_unit": "lb_oz",
            "time_zone": "America/Denver",
            "office_phone": "605-555-0142",
            "office_address": "12 Dock Road",
        }

        answer = signed_in.post(address(lake, "edit_lake"), words, follow=True)

        [told] = answer.context["messages"]
        assert "25 mm" in told.message
        assert message_tags(answer) == ["success"]
        lake.refresh_from_db()
        assert (lake.length_unit, lake.weight_unit) == ("mm", "lb_oz")
        assert lake.time_zone == "America/Denver"
        assert (lake.office_phone, lake.office_address) == ("605-555-0142", "12 Dock Road")
        assert lake.history.latest().history_user.username == "n-aubrey"

    def test_arm_and_reach(self, signed_in, lake, brindle):
        signed_in.post(address(lake, "arms"), {"name": "Tarrow"})
        added = lake.arms.get(name="Tarrow")
        signed_in.post(address(lake, "move_arm", added.pk), {"way": "up"})
        signed_in.post(address(lake, "add_reach", added.pk), {"name": "Lower"})
        signed_in.post(address(lake, "arm", brindle.pk), {"name": "Bramble"})

        shown = signed_in.get(address(lake, "arms")).content.decode()
        assert shown.rindex("Cutbank") < shown.rindex("Tarrow") < shown.rindex("Hobbin")
        assert "Bramble" in shown
        assert Reach.objects.filter(arm=added, name="Lower").exists()

    def test_an_arm_that_has_to_stay_says_why(self, signed_in, lake, party):
        answer = signed_in.post(address(lake, "remove_arm", party.arm_id), follow=True)

        assert message_tags(answer) == ["has_parties warning"]
        assert Arm.objects.filter(pk=party.arm_id).exists()

    def test_species_at_the_lake(self, signed_in, lake, white):
        row = lake.lake_species.get(species=white)
        words = {**SPECIES_DAYS, "bin_width_hundredths_mm": "0.5", "annulus_ends": "15 July"}

        signed_in.post(address(lake, "lake_species", row.pk), words)

        row.refresh_from_db()
        assert (row.bin_width_hundredths_mm, row.annulus_ends) == (1270, "07-15")

    def test_a_species_is_added_and_taken_up(self, signed_in, lake):
        words = {
            "name": "Yellow perch",
            "short_name": "Perch",
            "kind": "species",
            "plausible_min_hundredths_mm": "2",
            "plausible_max_hundredths_mm": "43 cm",
            "plausible_max_age_years": "13",
        }
        signed_in.post(address(lake, "add_species"), words)
        perch = Species.objects.get(code="yellow-perch")

        signed_in.post(
            address(lake, "take_up"),
            {**SPECIES_DAYS, "species": perch.pk, "bin_width_hundredths_mm": "1"},
        )

        assert perch.plausible_max_hundredths_mm == 43_000
        assert LakeSpecies.objects.get(lake=lake, species=perch).position == 4

    def test_season_and_rule(self, signed_in, lake, white):
        season = {
            "name": "2027",
            "number_year": "2027",
            "starts_on": "2027-01-01",
            "ends_on": "31 December 2027",
            "permit_number": "SC-27-002",
            "permit_until": "2027-06-30",
        }
        rule = {
            "species": white.pk,
            "in_force_from": "2020-03-01",
            "words": "Ten inches or more.",
            "minimum_length_hundredths_mm": "10",
            "daily_limit": "15",
        }

        signed_in.post(address(lake, "add_season"), season)
        signed_in.post(address(lake, "add_regulation"), rule)

        shown = signed_in.get(address(lake, "lake")).content.decode()
        assert Season.objects.get(lake=lake, name="2027").permit_until == date(2027, 6, 30)
        assert "Minimum length 10.0 in" in shown


class TestWhatWasTypedIsKept:
    def test_a_hybrid_without_parents(self, signed_in, lake, white):
        words = {
            "name": "Wiper",
            "short_name": "Wiper",
            "kind": "hybrid",
            "parent_a": white.pk,
            "plausible_min_hundredths_mm": "3",
            "plausible_max_hundredths_mm": "34 in",
            "plausible_max_age_years": "14",
            "marks": "broken stripes",
        }

        answer = signed_in.post(address(lake, "add_species"), words)

        assert answer.status_code == 422
        assert error_codes(answer) == {"parent_b": ["parent_missing"]}
        shown = answer.content.decode()
        assert 'value="34 in"' in shown
        assert 'value="broken stripes"' in shown
        assert f'<option value="{white.pk}" selected>' in shown
        assert not Species.objects.filter(name="Wiper").exists()

    def test_seasons_that_overlap(self, signed_in, lake, season):
        words = {
            "name": "Winter",
            "number_year": "2026",
            "starts_on": "1 December 2026",
            "ends_on": "1 March 2027",
        }

        answer = signed_in.post(address(lake, "add_season"), words)

        assert answer.status_code == 422
        assert error_codes(answer) == {"starts_on": ["overlaps"]}
        assert 'value="1 December 2026"' in answer.content.decode()

    def test_a_day_of_the_year_nobody_knows(self, signed_in, lake, white):
        row = lake.lake_species.get(species=white)
        words = {**SPECIES_DAYS, "bin_width_hundredths_mm": "1", "hatch": "mid May"}

        answer = signed_in.post(address(lake, "lake_species", row.pk), words)

        assert answer.status_code == 422
        assert 'value="mid May"' in answer.content.decode()
        assert error_codes(answer) == {"hatch": ["no_day"]}


@pytest.mark.parametrize("rows", [1, 12])
def test_the_overview_asks_the_database_as_often_with_many_rows(
    signed_in, lake, white, django_assert_max_num_queries, rows
):
    for number in range(rows):
        arm = Arm.objects.create(lake=lake, name=f"Arm {number}", position=number)
        Reach.objects.create(arm=arm, name="Lower")
        Regulation.objects.create(
            lake=lake, species=white, in_force_from=date(2000 + number, 1, 1), words="x"
        )
    signed_in.get(address(lake, "lake"))

    with django_assert_max_num_queries(12):
        signed_in.get(address(lake, "lake"))


@pytest.mark.browser
@pytest.mark.parametrize("kind", [PHONE, DESK])
def test_pages_in_a_browser(open_page, axe, lake, biologist, white, rule, kind):
    page = open_page(kind, user=biologist)

    for path in [address(lake, name) for name in PAGES] + pages_with_a_row(lake, white, rule):
        page.goto(path)
        assert axe(page) == [], path
        wide = page.evaluate("document.documentElement.scrollWidth > window.innerWidth")
        assert not wide, path
        assert page.locator(".button-next").count() <= 1, path
