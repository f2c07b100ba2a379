"""Changes to a lake, and what is refused so that nothing already sampled is lost."""

from datetime import date
from typing import Any

import pytest

from samples.models import (
    Arm,
    LakeSpecies,
    Reach,
    Regulation,
    Season,
    Target,
)
from samples.waters import queries, services
from tests.factories import make_fish
from tests.people import CAUGHT_ON, INCH

SEASON: dict[str, Any] = {
    "name": "2027",
    "number_year": 2027,
    "starts_on": date(2027, 1, 1),
    "ends_on": date(2027, 12, 31),
    "permit_number": "",
    "permit_holder": "",
    "permit_until": None,
    "possession_reminder": "",
    "carcass_note": "",
}


def season_facts(season, **changes):
    return {**{name: getattr(season, name) for name in SEASON}, **changes}


class TestLake:
    def test_a_change_of_unit_keeps_lengths_and_refits_the_bins(self, lake, party, white):
        fish = make_fish(party, white)
        narrow = lake.lake_species.get(species__code="black-crappie")
        narrow.bin_width_hundredths_mm = INCH // 2
        narrow.save()

        changed = services.edit_lake(
            lake, name=lake.name, length_unit="mm", time_zone="America/Chicago"
        )

        fish.refresh_from_db()
        assert fish.length_hundredths_mm == 25_400
        widths = dict(lake.lake_species.values_list("species__code", "bin_width_hundredths_mm"))
        assert widths["white-crappie"] == 2500
        assert widths["black-crappie"] == 1000
        assert "25 mm" in changed.new_bins[0]

    def test_another_lake_has_the_name(self, lake, other_lake):
        with pytest.raises(services.ChangeRefused) as refused:
            services.edit_lake(
                lake, name="tamsin reservoir", length_unit="in", time_zone="America/Chicago"
            )

        assert refused.value.field == "name"

    def test_a_new_name_leaves_the_address(self, lake):
        services.edit_lake(lake, name="Orrin", length_unit="in", time_zone="America/Denver")

        lake.refresh_from_db()
        assert (lake.name, lake.slug) == ("Orrin", "lake-orrinbeck")


class TestArms:
    def test_a_new_arm_comes_last_and_can_move_up(self, lake):
        added = services.add_arm(lake, name="Tarrow")
        assert [arm.name for arm in queries.arms_of(lake)][-1] == "Tarrow"

        services.move_arm(added, up=True)

        names = [arm.name for arm in queries.arms_of(lake)]
        assert names == ["Brindle", "Cutbank", "Tarrow", "Hobbin"]

    def test_the_first_arm_stays_first_when_moved_up(self, lake, brindle):
        services.move_arm(brindle, up=True)

        assert queries.arms_of(lake)[0] == brindle

    @pytest.mark.parametrize("name", ["Cutbank", "cutbank"])
    def test_one_name_is_one_arm(self, lake, brindle, name):
        with pytest.raises(services.ChangeRefused):
            services.add_arm(lake, name=name)
        with pytest.raises(services.ChangeRefused):
            services.rename_arm(brindle, name=name)

    def test_an_arm_with_fish_stays(self, lake, party, white):
        make_fish(party, white)

        with pytest.raises(services.ChangeRefused) as refused:
            services.remove_arm(party.arm)

        assert refused.value.code == "has_fish"
        assert Arm.objects.filter(pk=party.arm_id).exists()

    def test_an_arm_where_a_party_fished_stays(self, party):
        with pytest.raises(services.ChangeRefused) as refused:
            services.remove_arm(party.arm)

        assert refused.value.code == "has_parties"

    def test_an_arm_with_targets_stays(self, season, brindle, white):
        Target.objects.create(
            season=season,
            species=white,
            arm=brindle,
            from_hundredths_mm=10 * INCH,
            below_hundredths_mm=11 * INCH,
            wanted=5,
        )

        with pytest.raises(services.ChangeRefused) as refused:
            services.remove_arm(brindle)

        assert refused.value.code == "has_targets"

    def test_an_arm_without_fish_goes_with_its_reaches(self, lake, brindle):
        services.remove_arm(brindle)

        assert not Arm.objects.filter(lake=lake, name="Brindle").exists()
        assert not Reach.objects.filter(arm_id=brindle.pk).exists()
        assert Arm.history.filter(name="Brindle", history_type="-").count() == 1

    def test_the_only_arm_stays(self, lake):
        first, *others = queries.arms_of(lake)
        for arm in others:
            services.remove_arm(arm)

        with pytest.raises(services.ChangeRefused) as refused:
            services.remove_arm(first)

        assert refused.value.code == "only_arm"

    def test_reaches_are_added_moved_and_removed(self, brindle):
        added = services.add_reach(brindle, name="Ford")
        services.move_reach(added, up=True)
        services.remove_reach(brindle.reaches.get(name="Upper"))

        assert [reach.name for reach in queries.reaches_of(brindle)] == ["Lower", "Middle", "Ford"]

    def test_a_reach_with_fish_stays(self, party, white):
        lower = party.arm.reaches.get(name="Lower")
        make_fish(party, white, reach=lower)

        with pytest.raises(services.ChangeRefused) as refused:
            services.remove_reach(lower)

        assert refused.value.code == "has_fish"


class TestSpecies:
    facts: dict[str, Any] = {
        "name": "Rock bass",
        "short_name": "Rock bass",
        "scientific_name": "",
        "kind": "species",
        "group": None,
        "parent_a": None,
        "parent_b": None,
        "plausible_min_hundredths_mm": 2 * INCH,
        "plausible_max_hundredths_mm": 14 * INCH,
        "plausible_max_age_years": 12,
        "spines_min": None,
        "spines_max": None,
        "marks": "",
    }

    def test_a_new_species_gets_a_code_of_its_own(self, crappies):
        made = services.add_species(**self.facts)
        services.edit_species(made, **{**self.facts, "name": "Goggle-eye"})
        again = services.add_species(**self.facts)

        assert (made.code, again.code) == ("rock-bass", "rock-bass-2")

    def test_a_hybrid_needs_two_parents(self, white, black):
        hybrid = {**self.facts, "kind": "hybrid", "parent_a": white}

        with pytest.raises(services.ChangeRefused) as missing:
            services.add_species(**hybrid)
        with pytest.raises(services.ChangeRefused) as twice:
            services.add_species(**{**hybrid, "parent_b": white})

        assert missing.value.field == "parent_b"
        assert twice.value.code == "same_parent_twice"
        assert services.add_species(**{**hybrid, "parent_b": black}).parent_b == black

    def test_only_a_hybrid_has_parents(self, white):
        with pytest.raises(services.ChangeRefused) as refused:
            services.add_species(**{**self.facts, "parent_a": white})

        assert refused.value.field == "parent_a"

    def test_the_parent_of_a_hybrid_stays_a_species(self, white):
        facts = {name: getattr(white, name) for name in self.facts}

        with pytest.raises(services.ChangeRefused) as refused:
            services.edit_species(white, **{**facts, "kind": "not_sure"})

        assert refused.value.field == "kind"

    def test_a_species_with_fish_stays_on_the_list(self, lake, party, white, black):
        make_fish(party, white)

        with pytest.raises(services.ChangeRefused) as refused:
            services.remove_lake_species(lake.lake_species.get(species=white))
        services.remove_lake_species(lake.lake_species.get(species=black))

        assert refused.value.code == "has_fish"

        assert not LakeSpecies.objects.filter(lake=lake, species=black).exists()

    def test_order_of_the_form(self, lake, black):
        services.move_lake_species(lake.lake_species.get(species=black), up=True)

        codes = [row.species.code for row in queries.lake_species_of(lake)]
        assert codes[:2] == ["black-crappie", "white-crappie"]

    def test_says_what_a_change_touched(self, lake, white):
        row = lake.lake_species.get(species=white)
        facts = {
            name: getattr(row, name) for name in services.species.LakeSpeciesFacts.__annotations__
        }

        bins = services.edit_lake_species(row, **{**facts, "bin_width_hundredths_mm": INCH // 2})
        calendar = services.edit_lake_species(
            row, **{**facts, "bin_width_hundredths_mm": INCH // 2, "annulus_ends": "07-15"}
        )

        assert (bins.bins, bins.calendar) == (True, False)
        assert (calendar.bins, calendar.calendar) == (False, True)


class TestSeasons:
    @pytest.mark.parametrize(
        ("starts_on", "ends_on", "field"),
        [
            (date(2026, 12, 31), date(2027, 3, 1), "starts_on"),
            (date(2025, 11, 1), date(2026, 1, 1), "ends_on"),
            (date(2025, 1, 1), date(2027, 12, 31), "ends_on"),
        ],
    )
    def test_seasons_of_a_lake_do_not_share_a_day(self, lake, season, starts_on, ends_on, field):
        facts = {**SEASON, "starts_on": starts_on, "ends_on": ends_on}

        with pytest.raises(services.ChangeRefused) as refused:
            services.add_season(lake, **facts)

        assert refused.value.field == field
        assert "January 1, 2026 to December 31, 2026" in refused.value.sentence

    def test_the_next_day_is_free(self, lake, season):
        services.add_season(lake, **SEASON)

        assert [each.name for each in queries.seasons_of(lake)] == ["2027", "2026"]

    def test_another_lake_has_seasons_of_its_own(self, lake, other_lake):
        other_lake.seasons.get().delete()
        facts = {**SEASON, "starts_on": date(2026, 1, 1), "ends_on": date(2026, 6, 1)}

        services.add_season(other_lake, **facts)

        assert Season.objects.filter(lake=other_lake).count() == 1

    def test_a_season_keeps_the_days_of_its_fish(self, season, party, white):
        make_fish(party, white, caught_on=date(2026, 4, 2))
        make_fish(party, white, caught_on=date(2026, 4, 3), withdrawn=True)

        with pytest.raises(services.ChangeRefused) as refused:
            services.edit_season(season, **season_facts(season, starts_on=date(2026, 5, 7)))

        assert (refused.value.code, refused.value.field) == ("loses_fish", "starts_on")

    def test_a_season_may_end_on_the_day_of_its_last_fish(self, season, party):
        services.edit_season(season, **season_facts(season, ends_on=CAUGHT_ON))

        season.refresh_from_db()
        assert season.ends_on == CAUGHT_ON

    def test_a_day_that_was_outside_before_stops_nothing(self, season, party, white):
        make_fish(party, white, caught_on=date(2025, 12, 30))

        services.edit_season(season, **season_facts(season, ends_on=date(2026, 12, 1)))

        season.refresh_from_db()
        assert season.ends_on == date(2026, 12, 1)

    def test_printed_numbers_keep_their_year(self, season, vials):
        with pytest.raises(services.ChangeRefused) as refused:
            services.edit_season(season, **season_facts(season, number_year=2027))

        assert refused.value.field == "number_year"


class TestRegulations:
    facts: dict[str, Any] = {
        "species": None,
        "words": "Crappie: 15 a day.",
        "minimum_length_hundredths_mm": None,
        "daily_limit": 15,
        "source": "",
    }

    def test_the_last_rule_that_has_begun_is_in_force(self, lake, white):
        for day in (date(2024, 3, 1), date(2026, 5, 6), date(2026, 6, 1)):
            services.add_regulation(lake, in_force_from=day, **self.facts)
        old = {**self.facts, "species": white}
        services.add_regulation(lake, in_force_from=date(2020, 1, 1), **old)

        listed = queries.regulations_of(lake, CAUGHT_ON)

        assert [
            (str(dated.rule.in_force_from), dated.in_force, dated.to_come) for dated in listed
        ] == [
            ("2026-06-01", False, True),
            ("2026-05-06", True, False),
            ("2024-03-01", False, False),
            ("2020-01-01", True, False),
        ]

    def test_two_rules_for_the_same_fish_on_one_day_are_refused(self, lake, white):
        services.add_regulation(lake, in_force_from=CAUGHT_ON, **self.facts)
        services.add_regulation(lake, in_force_from=CAUGHT_ON, **{**self.facts, "species": white})

        with pytest.raises(services.ChangeRefused) as refused:
            services.add_regulation(lake, in_force_from=CAUGHT_ON, **self.facts)

        assert refused.value.field == "in_force_from"
        assert Regulation.objects.count() == 2
