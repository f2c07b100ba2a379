"""The demo's lake: the draw is the same each time, and what is true of it can be found in it."""

from collections import Counter
from datetime import date

import numpy as np
import pytest

from samples.management.scenario import programme, truth
from samples.management.scenario.draw import draw
from samples.management.scenario.readings import true_count, true_margin
from samples.management.scenario.stock import growth_by, make_cloud
from samples.rules.ageing import age_from_reading
from samples.rules.growth_clock import growth_clock
from samples.rules.season_days import MonthDay, SpeciesCalendar

CALENDAR = SpeciesCalendar(
    annulus_starts=MonthDay(*truth.ANNULUS_WINDOW[0]),
    annulus_ends=MonthDay(*truth.ANNULUS_WINDOW[1]),
    hatch=MonthDay(*truth.HATCH),
    growth_starts=MonthDay(*truth.GROWTH_STARTS),
    growth_ends=MonthDay(*truth.GROWTH_ENDS),
)
HALF_A_TENTH_OF_AN_INCH = truth.TENTH_INCH_HUNDREDTHS_MM / 2


@pytest.fixture(scope="module")
def scenario():
    return draw()


@pytest.fixture(scope="module")
def caught(scenario):
    """Return every fish beside its party."""
    return [(party, fish) for party in scenario.parties for fish in party.fish]


@pytest.fixture(scope="module")
def with_vials(caught):
    return [(party, fish) for party, fish in caught if fish.vial_sequence is not None]


@pytest.fixture(scope="module")
def fish_of(scenario):
    """Return the party and the fish that really lie in each vial."""
    fish = {one.entry_id: (party, one) for party in scenario.parties for one in party.fish}
    return {
        (vial.season_year, vial.sequence): fish[vial.logged_fish]
        for vial in scenario.vials
        if vial.logged_fish
    }


def age_by_rule(party, fish, annuli, margin):
    return age_from_reading(
        annuli,
        margin,
        party.caught_on,
        CALENDAR,
        length_hundredths_mm=fish.length_hundredths_mm,
        age0_max_length_hundredths_mm=truth.species_of(fish.species).age_0_below_hundredths_mm,
    ).age


class TestDraw:
    def test_gives_the_same_for_the_same_seed(self, scenario):
        assert draw() == scenario

    def test_gives_other_fish_for_another_seed(self, scenario):
        other = draw(7)

        assert other.parties[0].party_id != scenario.parties[0].party_id
        assert other.readings != scenario.readings

    def test_gives_fewer_of_the_same_on_an_earlier_day(self, scenario):
        earlier = draw(today=date(2026, 4, 20))

        assert 400 < len(earlier.parties) < len(scenario.parties)
        assert set(earlier.parties) <= set(scenario.parties)
        assert set(earlier.readings) <= set(scenario.readings)
        assert set(earlier.kits) <= set(scenario.kits)
        assert max(reading.read_at.date() for reading in earlier.readings) <= earlier.today

    def test_draws_as_many_fish_as_promised(self, caught, with_vials):
        kinds = Counter(fish.species for _, fish in with_vials)
        measured = Counter(p.method for p, f in caught if f.vial_sequence is None)

        assert len(with_vials) == pytest.approx(1_800, rel=0.04)
        assert kinds["white-crappie"] == pytest.approx(1_000, rel=0.06)
        assert kinds["black-crappie"] == pytest.approx(420, rel=0.15)
        assert kinds["hybrid-crappie"] == pytest.approx(160, rel=0.15)
        assert kinds["walleye"] == pytest.approx(220, rel=0.15)
        assert measured["creel"] == pytest.approx(3_500, rel=0.06)
        assert measured["trap_net"] == pytest.approx(2_500, rel=0.06)
        assert sum(measured.values()) == pytest.approx(6_000, rel=0.05)

    def test_puts_parties_and_their_fish_in_order_of_time(self, scenario):
        opened = [party.opened_at for party in scenario.parties]
        assert opened == sorted(opened)
        for party in scenario.parties:
            season = programme.season_of(party.season_year)
            logged = [party.opened_at, *(fish.logged_at for fish in party.fish)]
            assert season.starts_on <= party.caught_on <= min(season.ends_on, truth.LAST_CATCH_ON)
            assert logged == sorted(set(logged))
            assert party.opened_at.date() >= party.caught_on

    def test_measures_to_the_tenth_of_an_inch_and_asks_only_about_odd_lengths(self, caught):
        asked = [fish for _, fish in caught if "length_out_of_range" in fish.slips_confirmed]
        for _, fish in caught:
            kind = truth.species_of(fish.species)
            low, high = kind.plausible_from_hundredths_mm, kind.plausible_to_hundredths_mm
            assert fish.length_hundredths_mm % truth.TENTH_INCH_HUNDREDTHS_MM == 0
            assert (fish in asked) != (low <= fish.length_hundredths_mm <= high)
        assert 1 <= len(asked) <= 15


class TestTruth:
    def test_keeps_the_growth_clock_of_the_ageing_rule(self):
        for day in (date(2023, 3, 1), date(2023, 6, 20), date(2023, 9, 1), date(2023, 12, 1)):
            for age in (1, 4):
                clock = growth_by(day.year - age, day)
                assert float(clock) == pytest.approx(growth_clock(age, day, CALENDAR))
        first_summer = growth_by(2023, date(2023, 8, 1))
        assert float(first_summer) == pytest.approx(growth_clock(0, date(2023, 8, 1), CALENDAR))

    def test_lets_fish_stand_still_in_winter(self):
        stock = truth.arm_named("Tarrow").stock("white-crappie")
        cloud = make_cloud(stock, np.random.default_rng(1))

        autumn, spring, summer = (
            cloud.length_mm(day)[:-3]
            for day in (date(2024, 11, 1), date(2025, 4, 1), date(2025, 7, 1))
        )

        assert np.array_equal(autumn, spring)
        assert (summer > spring).all()

    def test_lets_hybrids_outgrow_both_parents(self):
        for arm in truth.ARMS:
            white, black, hybrid = (arm.stock(code) for code in truth.CRAPPIES)
            assert hybrid.linf_male_mm > max(white.linf_male_mm, black.linf_male_mm)
            assert hybrid.k_per_yr > max(white.k_per_yr, black.k_per_yr)

    def test_wants_208_white_crappie_a_season(self):
        wanted = [
            target.lake_wide
            for target in programme.TARGETS
            if (target.season_year, target.species) == (2026, "white-crappie")
        ]
        assert sum(wanted) == 208


class TestFish:
    def mean_length(self, caught, arm, age):
        return np.mean(
            [
                fish.length_hundredths_mm / 100
                for party, fish in caught
                if (party.method, fish.arm) == ("trap_net", arm)
                and (fish.true_species, fish.true_age_yr) == ("white-crappie", age)
            ]
        )

    def test_grow_slowly_in_the_slow_arm(self, caught):
        slow = self.mean_length(caught, "Cutbank", 3)
        for arm in ("Brindle", "Hobbin", "Tarrow"):
            assert self.mean_length(caught, arm, 3) > slow + 40

    def test_grow_old_where_few_die(self, caught):
        def share_of_old(arm):
            ages = [
                fish.true_age_yr
                for party, fish in caught
                if party.method == "trap_net"
                and fish.arm == arm
                and fish.true_species == "white-crappie"
                and fish.true_age_yr >= 2
            ]
            return np.mean(np.array(ages) >= 5)

        assert share_of_old("Hobbin") > 2 * share_of_old("Sallow")
        assert share_of_old("Hobbin") > 2 * share_of_old("Brindle")

    def test_are_above_the_size_that_anglers_keep(self, caught):
        fresh = [
            (fish, truth.arm_named(fish.arm).stock(fish.true_species))
            for party, fish in caught
            if party.method != "trap_net" and party.kept_state == "fresh"
        ]
        assert len(fresh) > 1_000
        for fish, stock in fresh:
            least = stock.keep_from_hundredths_mm - HALF_A_TENTH_OF_AN_INCH
            assert fish.length_hundredths_mm >= least

    def test_come_small_from_nets(self, caught):
        small = sum(p.method == "trap_net" and f.length_hundredths_mm < 17_780 for p, f in caught)
        assert small > 600

    def test_show_the_strong_year_class(self, caught):
        classes = Counter(
            fish.true_year_class
            for party, fish in caught
            if party.method == "trap_net" and party.season_year == 2024
        )
        assert classes[truth.STRONG_YEAR_CLASS] > 1.2 * classes[truth.STRONG_YEAR_CLASS + 1]
        assert classes[truth.STRONG_YEAR_CLASS] > 3 * classes[truth.STRONG_YEAR_CLASS - 1]

    def test_of_one_cell_come_mostly_from_one_donor(self, with_vials):
        donors = Counter(
            party.donor
            for party, fish in with_vials
            if (party.season_year, fish.arm, fish.species) == (2026, "Hobbin", "white-crappie")
            and fish.length_hundredths_mm // 2540 == 13
        )
        assert donors.total() >= 8
        assert donors["ostrow"] > donors.total() / 2


class TestVials:
    def test_are_logged_once_unless_two_logs_clash(self, scenario, with_vials):
        said = Counter((party.season_year, fish.vial_sequence) for party, fish in with_vials)
        clashing = {(clash.season_year, clash.sequence) for clash in scenario.clashes}

        assert {number for number, times in said.items() if times > 1} == clashing
        assert len(clashing) == 5
        assert sum(clash.settled_on is None for clash in scenario.clashes) == 2

    def test_are_printed_before_they_are_issued_and_issued_before_they_are_used(
        self, scenario, with_vials
    ):
        printed = {
            (run.season_year, sequence): run.printed_on
            for run in scenario.label_runs
            for sequence in range(run.first_sequence, run.last_sequence + 1)
        }
        kits = {
            (kit.season_year, sequence): kit
            for kit in scenario.kits
            for sequence in range(kit.first_sequence, kit.last_sequence + 1)
        }
        assert set(kits) <= set(printed)
        for number, kit in kits.items():
            assert printed[number] <= kit.issued_on
        for party, fish in with_vials:
            kit = kits[party.season_year, fish.vial_sequence]
            assert kit.issued_to == party.logged_by
            assert kit.issued_on <= party.cleaned_on

    def test_go_through_their_states_in_order_of_days(self, scenario):
        for vial in scenario.vials:
            days = [
                day
                for day in (
                    vial.issued_on,
                    vial.received_on,
                    vial.clearing_from,
                    vial.ready_on,
                    vial.read_on,
                    vial.archived_on,
                )
                if day is not None
            ]
            assert days == sorted(days)

    def test_only_vials_with_an_otolith_are_read(self, scenario):
        read = [vial for vial in scenario.vials if vial.read_on is not None]

        assert read
        assert {vial.content for vial in read} == {"one", "two"}

    def test_are_in_every_state_on_the_last_day(self, scenario):
        now = Counter(vial.state for vial in scenario.vials if vial.season_year == 2026)
        assert {state for state, vials in now.items() if vials >= 2} == {
            "printed", "issued", "used", "received", "clearing", "ready", "read", "archived",
            "lost", "void",
        }  # fmt: skip

    def test_do_not_all_come_in_nor_come_in_with_a_log(self, scenario):
        with_log_only = [v for v in scenario.vials if v.logged_fish and not v.received_on]
        without_log = [v for v in scenario.vials if v.received_on and not v.logged_fish]
        assert len(with_log_only) > 10
        assert len(without_log) > 5

    def test_of_the_present_season_are_partly_unread(self, scenario):
        logged = [v for v in scenario.vials if v.season_year == 2026 and v.logged_fish]
        unread = sum(vial.read_on is None for vial in logged)
        assert 0.10 < unread / len(logged) < 0.22

    def test_lie_in_one_place_each_in_the_archive(self, scenario):
        places = [(vial.box, vial.slot) for vial in scenario.vials if vial.box]
        assert len(places) > 1_000
        assert len(set(places)) == len(places)


class TestReadings:
    def test_without_error_give_the_true_age_of_every_fish(self, caught):
        for party, fish in caught:
            annuli = true_count(fish, party.caught_on)
            margin = true_margin(fish, party.caught_on)
            assert age_by_rule(party, fish, annuli, margin) == fish.true_age_yr

    def test_as_drawn_give_the_true_age_and_the_error(self, scenario, fish_of):
        open_ages = 0
        for reading in scenario.readings:
            party, fish = fish_of[reading.season_year, reading.sequence]
            age = age_by_rule(party, fish, reading.annuli, reading.margin)
            if age is None:
                open_ages += 1
                assert reading.margin == 3
            else:
                assert age == fish.true_age_yr + reading.true_error_yr
        assert 1 <= open_ages < 0.05 * len(scenario.readings)

    @pytest.mark.parametrize("reader", [programme.BIOLOGIST, programme.SECOND_READER])
    def test_are_mostly_right(self, scenario, reader):
        errors = np.array([r.true_error_yr for r in scenario.readings if r.reader == reader])
        assert 0.78 < np.mean(errors == 0) < 0.92

    def test_are_more_often_right_of_young_fish(self, scenario, fish_of):
        right: dict[bool, list[bool]] = {True: [], False: []}
        for reading in scenario.readings:
            _, fish = fish_of[reading.season_year, reading.sequence]
            right[fish.true_age_yr <= 2].append(reading.true_error_yr == 0)
        assert np.mean(right[True]) > np.mean(right[False]) + 0.05

    def test_are_second_for_a_quarter_and_a_few_wait_to_be_settled(self, scenario):
        readers: dict[tuple[int, int], set[str]] = {}
        errors: dict[tuple[int, int], set[int]] = {}
        for reading in scenario.readings:
            key = (reading.season_year, reading.sequence)
            readers.setdefault(key, set()).add(reading.reader)
            errors.setdefault(key, set()).add(reading.true_error_yr)
        decided = {(d.season_year, d.sequence) for d in scenario.decisions}
        twice = sum(len(names) == 2 for names in readers.values())
        waiting = {key for key, by_how_much in errors.items() if len(by_how_much) > 1} - decided

        assert 0.20 < twice / len(readers) < 0.30
        assert 3 <= len(waiting) <= 15
        assert len(decided) > 50

    def test_never_come_twice_in_a_sitting(self, scenario):
        sittings = Counter(
            (r.season_year, r.sequence, r.reader, r.read_at.date(), r.method)
            for r in scenario.readings
        )
        assert max(sittings.values()) == 1

    def test_carry_radii_that_show_the_year_of_good_growth(self, scenario, fish_of):
        good: list[int] = []
        ordinary: list[int] = []
        for reading in scenario.readings:
            if len(reading.radii_um) < 2:
                continue
            _, fish = fish_of[reading.season_year, reading.sequence]
            if fish.arm == "Cutbank" or fish.true_species == "walleye":
                continue
            year = fish.true_year_class + 1
            second = reading.radii_um[1] - reading.radii_um[0]
            (good if year == truth.GOOD_GROWTH_YEAR else ordinary).append(second)
            assert reading.edge_um >= reading.radii_um[-1]
        assert min(len(good), len(ordinary)) > 10
        assert np.mean(good) > 1.1 * np.mean(ordinary)
