"""A lake added in the browser: by the administrator alone, with what it starts from."""

import re

import pytest

from samples.models import Lake, LakeSpecies, Membership, Printer, Regulation, Target, User, Vial
from samples.waters import services
from samples.waters.forms import AddLake
from samples.waters.rules import CopiedPart
from tests.people import INCH, NOW
from tests.shown import error_codes
from tests.targets.pages import want

ADDRESS = "/add-a-lake/"
pytestmark = pytest.mark.django_db


@pytest.fixture
def administrator(db):
    return User.objects.create_superuser("root", password="a long password", display_name="Root")


@pytest.fixture
def desk(client, administrator):
    client.force_login(administrator, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_the_way_there_is_the_administrators(client, desk, administrator, lake, biologist):
    # The administrator has no lake yet: the first page leads there.
    assert f'href="{ADDRESS}"' in desk.get("/").content.decode()

    client.force_login(biologist)
    assert ADDRESS not in client.get("/lakes/lake-orrinbeck/").content.decode()
    biologist.is_superuser = True
    biologist.save()

    assert f'href="{ADDRESS}"' in client.get("/lakes/lake-orrinbeck/").content.decode()


def typed(administrator, **others):
    return {
        "name": "Quill Lake",
        "length_unit": "in",
        "weight_unit": "lb_oz",
        "time_zone": "America/Chicago",
        "biologist": administrator.pk,
        **others,
    }


def test_the_first_lake_of_an_installation(desk, administrator):
    assert desk.get(ADDRESS).status_code == 200

    answer = desk.post(
        ADDRESS, typed(administrator, species=["walleye", "white-crappie"]), follow=True
    )

    lake = Lake.objects.get()
    assert answer.request["PATH_INFO"] == "/lakes/quill-lake/"
    assert [arm.whole_lake for arm in lake.arms.all()] == [True]
    assert lake.seasons.count() == 1
    # Parents and relatives come in the order of the catalog.
    assert list(lake.lake_species.order_by("position").values_list("species__code", flat=True)) == [
        "white-crappie",
        "walleye",
    ]
    assert set(lake.lake_species.values_list("bin_width_hundredths_mm", flat=True)) == {INCH}
    assert Membership.objects.get().person == administrator


def test_everything_that_must_be_given_is_asked_for(desk):
    page = desk.get(ADDRESS).content.decode()

    asked = set(re.findall(r'name="(\w+)"', page))
    assert {name for name, field in AddLake.base_fields.items() if field.required} <= asked


def test_a_new_lake_has_its_weight_unit_and_its_office(desk, administrator):
    desk.post(ADDRESS, typed(administrator, office_phone="605-555-0142"))

    lake = Lake.objects.get()
    assert (lake.weight_unit, lake.office_phone, lake.office_address) == (
        "lb_oz",
        "605-555-0142",
        "",
    )


def test_bins_of_a_lake_in_millimeters_can_be_named(desk, administrator):
    desk.post(ADDRESS, typed(administrator, length_unit="mm", species=["walleye"]))

    assert LakeSpecies.objects.get().bin_width_hundredths_mm == 2500


def test_a_biologist_who_is_there_already_gets_the_lake(desk, administrator, biologist, lake):
    biologist.set_password("lantern and whisper")
    biologist.save()

    answer = desk.post(ADDRESS, typed(administrator, biologist=biologist.pk))

    assert answer.status_code == 302
    added = Lake.objects.get(name="Quill Lake")
    assert [one.person for one in added.memberships.all()] == [biologist]


def test_nothing_typed_is_lost_where_something_is_wrong(desk, administrator, lake):
    answer = desk.post(
        ADDRESS,
        typed(
            administrator,
            name="lake orrinbeck",
            time_zone="Chicago",
            copy_from=lake.pk,
            species=["walleye"],
        ),
    )

    page = answer.content.decode()
    assert answer.status_code == 422
    assert error_codes(answer) == {"time_zone": ["no_zone"], "parts": ["no_part"]}
    assert 'value="lake orrinbeck"' in page
    assert 'value="walleye" id="id_species_' in page
    assert f'<option value="{lake.pk}" selected>' in page
    assert Lake.objects.count() == 1


def test_a_name_that_is_taken_is_refused_beside_the_field(desk, administrator, lake):
    answer = desk.post(ADDRESS, typed(administrator, name="lake orrinbeck"))

    assert answer.status_code == 422
    assert error_codes(answer) == {"name": ["name_taken"]}
    assert Lake.objects.count() == 1


@pytest.mark.parametrize("role", ["guide", "office", "biologist"])
def test_nobody_else_adds_a_lake(client, request, lake, role):
    client.force_login(request.getfixturevalue(role))

    assert client.get(ADDRESS).status_code == 403
    assert client.post(ADDRESS, {"name": "Quill Lake"}).status_code == 403
    assert Lake.objects.count() == 1


def copied(source, lake, *parts):
    return services.copy_settings(source, lake, parts or tuple(CopiedPart), actor=None, now=NOW)


@pytest.fixture
def quill(lake):
    return services.add_lake(
        name="Quill Lake", length_unit="in", time_zone="America/Chicago", now=NOW
    ).lake


class TestCopy:
    def test_settings_are_copied_and_no_person_place_or_fish(
        self, lake, quill, white, season, brindle, biologist, guide, vials
    ):
        LakeSpecies.objects.filter(lake=lake, species=white).update(
            hatch="05-20", plausible_max_hundredths_mm=16 * INCH, bin_width_hundredths_mm=1270
        )
        lake.groups.create(group=white.group, helper_words="Count twice.")
        want(season, white, 10, 20)
        Target.objects.filter(from_hundredths_mm=10 * INCH).update(
            below_hundredths_mm=10 * INCH + 1270
        )
        want(season, white, 10, 3, brindle)
        for day, size in ((1, 9), (2, 10)):
            Regulation.objects.create(
                lake=lake,
                in_force_from=NOW.date().replace(month=1, day=day),
                words="Keep 30 a day",
                minimum_length_hundredths_mm=size * INCH,
                source="State rules, 2026",
            )
        Printer.objects.create(lake=lake, stock="sheet-35x15", right_tenths_mm=4)
        # A stock that was measured at the lake is no stock of another one.
        Printer.objects.create(lake=lake, stock="own-1", right_tenths_mm=5)

        done = copied(lake, quill)

        assert (done.species, done.targets, done.regulations, done.printers) == (4, 1, 1, 1)
        row = quill.lake_species.get(species=white)
        assert (row.hatch, row.plausible_max_hundredths_mm) == ("05-20", 16 * INCH)
        assert row.bin_width_hundredths_mm == 1270
        assert quill.groups.get().helper_words == "Count twice."
        target = Target.objects.get(season__lake=quill)
        assert (target.arm, target.wanted, target.history.count()) == (None, 20, 1)
        # The rule that was replaced is history of the other lake.
        assert quill.regulations.get().minimum_length_hundredths_mm == 10 * INCH
        assert quill.printers.get().right_tenths_mm == 4
        assert [arm.whole_lake for arm in quill.arms.all()] == [True]
        assert not quill.memberships.exists()
        assert not Vial.objects.filter(lake=quill).exists()

    def test_copied_twice_is_copied_once(self, lake, quill, white, season):
        want(season, white, 10, 20)
        copied(lake, quill)
        LakeSpecies.objects.filter(lake=quill, species=white).update(hatch="06-01")

        again = copied(lake, quill)

        assert (again.species, again.targets) == (0, 0)
        assert quill.lake_species.get(species=white).hatch == "06-01"
        assert Target.objects.filter(season__lake=quill).count() == 1

    def test_targets_of_bins_that_have_no_name_here_are_left_out(self, lake, white, season):
        want(season, white, 10, 20)
        metric = services.add_lake(
            name="Quill Lake", length_unit="mm", time_zone="America/Chicago", now=NOW
        ).lake

        done = copied(lake, metric)

        assert (done.targets, done.targets_left_out) == (0, ("White crappie",))
        assert metric.lake_species.get(species=white).bin_width_hundredths_mm == 2500

    def test_a_new_lake_takes_over_the_days_of_a_winter_season(self, lake, season):
        season.name, season.starts_on = "Winter", NOW.date().replace(year=2025, month=11)
        season.save()

        added = services.add_lake(
            name="Quill Lake",
            length_unit="in",
            time_zone="America/Chicago",
            now=NOW,
            start=services.StartingPoint(source=lake),
        )

        made = added.lake.seasons.get()
        assert (made.name, made.starts_on, made.permit_number) == ("Winter", season.starts_on, "")

    def test_its_page_offers_lakes_that_one_sets_up_oneself(
        self, client, lake, quill, other_lake, biologist
    ):
        Membership.objects.create(person=biologist, lake=quill, role="biologist")
        Membership.objects.create(person=biologist, lake=other_lake, role="reader")
        client.force_login(biologist)
        address = f"/lakes/{quill.slug}/set-up/copy/"

        page = client.get(address).content.decode()
        refused = client.post(address, {"copy_from": other_lake.pk, "parts": ["species"]})
        done = client.post(address, {"copy_from": lake.pk, "parts": ["species"]}, follow=True)

        assert "Lake Orrinbeck</option>" in page
        assert "Tamsin Reservoir</option>" not in page
        assert error_codes(refused) == {"copy_from": ["invalid_choice"]}
        assert done.request["PATH_INFO"] == "/lakes/quill-lake/"
        assert quill.lake_species.count() == 4


def test_several_species_are_added_at_once(signed_in, lake):
    address = "/lakes/lake-orrinbeck/set-up/species/several/"
    page = signed_in.get(address).content.decode()
    nothing = signed_in.post(address, {})
    wrong = signed_in.post(address, {"species": ["walleye", "no-such-fish"]})

    signed_in.post(address, {"species": ["walleye", "sauger"]})

    assert ('value="walleye"' in page, 'value="white-crappie"' in page) == (True, False)
    assert error_codes(nothing) == {"species": ["required"]}
    assert error_codes(wrong) == {"species": ["invalid_choice"]}
    codes = lake.lake_species.order_by("position").values_list("species__code", flat=True)
    assert list(codes)[-2:] == ["walleye", "sauger"]
