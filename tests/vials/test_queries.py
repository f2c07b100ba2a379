"""Lists of vials, runs of labels, and the life of one vial."""

import datetime as dt

import pytest

from samples.accounts.selectors import vials_at
from samples.models import Vial
from samples.rules import vial_number
from samples.vials import queries, services
from samples.vials.presenters.life import states_to_come, steps_of
from tests.people import NOW, make_vials
from tests.vials.numbers import number


@pytest.fixture
def seen(lake, office):
    return vials_at(office, lake)


class TestNumbers:
    def test_nothing_printed_yet(self, season):
        assert queries.last_number(2026) == ""
        assert queries.next_sequence(2026) == 1

    def test_the_last_one_printed(self, make_run):
        make_run(count=3)

        assert queries.last_number(2026) == vial_number.grouped(number(3))

    def test_runs_come_newest_first_with_their_ends(self, make_run, lake):
        make_run(count=3)
        make_run(count=2)

        rows = queries.runs(lake)

        assert [(row.first, row.last) for row in rows] == [
            (vial_number.grouped(number(4)), vial_number.grouped(number(5))),
            (vial_number.grouped(number(1)), vial_number.grouped(number(3))),
        ]
        assert rows[0].stock.startswith("35 x 15 mm")

    def test_a_label_leads_to_the_public_address(self, season, settings):
        settings.PUBLIC_ADDRESS = "https://fish.example"

        assert queries.label_of(number(1), season).link == f"HTTPS://FISH.EXAMPLE/V/{number(1)}"

    @pytest.mark.parametrize("address", ["", "https://fish.example/earstone"])
    def test_without_a_fit_address_the_number_stands_alone(self, season, settings, address):
        settings.PUBLIC_ADDRESS = address

        assert queries.label_of(number(1), season).link is None

    def test_void_numbers_are_not_printed_again(self, make_run, lake, office):
        run = make_run(count=3)
        services.void_vials(lake=lake, first=number(2), last=number(2), actor=office, now=NOW)

        first_print = services.first_print_of(run)
        printed = [label.number for label in queries.labels_to_print(first_print)]

        assert printed == [number(1), number(3)]

    def test_a_winter_season_counts_until_its_last_day(self, lake, season):
        assert queries.season_for_labels(lake, dt.date(2026, 12, 31)) == season
        assert queries.season_for_labels(lake, dt.date(2031, 1, 1)) == season


class TestHands:
    def test_breaks_where_a_number_is_missing(self, seen, vials, log_fish, guide):
        log_fish(vials[4])

        (hand,) = queries.vials_in_hands(seen)

        assert (hand.name, hand.count) == ("R. Ostrow", 19)
        assert [(one.first, one.last, one.count) for one in hand.stretches] == [
            (number(1), number(4), 4),
            (number(6), number(20), 15),
        ]

    def test_two_people_are_kept_apart(self, seen, lake, vials, second_guide, office):
        services.issue(
            lake=lake, first=number(21), last=number(22), to=second_guide, actor=office, now=NOW
        )

        assert [(hand.name, hand.count) for hand in queries.vials_in_hands(seen)] == [
            ("I. Talvik", 2),
            ("R. Ostrow", 20),
        ]

    def test_the_next_in_the_office(self, seen, vials):
        assert queries.first_in_office(seen) == number(21)

    def test_who_may_be_handed_vials(self, lake, guide, clerk, office, reader, stranger):
        assert list(queries.people_who_log(lake)) == [clerk, guide]


class TestWhatDoesNotFit:
    def test_a_vial_without_a_log(self, seen, lake, office, vials, log_fish):
        log_fish(vials[0])
        for each in (1, 2):
            services.receive(lake=lake, number=number(each), actor=office, now=NOW)

        listed = queries.without_log(seen)

        assert ([vial.number for vial in listed.rows], listed.total) == ([number(2)], 1)

    @pytest.mark.parametrize("content", ["none", "wrong", "more_fish"])
    def test_a_vial_with_no_otolith_of_one_fish_waits_for_no_log(
        self, seen, lake, office, vials, content
    ):
        services.receive(lake=lake, number=number(2), content=content, actor=office, now=NOW)

        assert queries.without_log(seen).total == 0

    def test_a_log_without_a_vial(self, seen, lake, office, vials, log_fish):
        for vial in vials[:3]:
            log_fish(vial)
        services.receive(lake=lake, number=number(1), actor=office, now=NOW)
        services.mark_lost(lake=lake, number=number(2), actor=office, now=NOW)

        listed = queries.logs_not_received(seen)

        assert ([vial.number for vial in listed.rows], listed.total) == ([number(3)], 1)

    @pytest.mark.parametrize("many", [1, 50])
    def test_lists_ask_no_more_for_more_rows(
        self, season, lake, office, seen, log_fish, django_assert_max_num_queries, many
    ):
        for vial in make_vials(season, first=1, count=many, by=office):
            log_fish(vial)
        for vial in make_vials(season, first=101, count=many, by=office):
            services.receive(lake=lake, number=vial.number, actor=office, now=NOW)

        with django_assert_max_num_queries(5):
            came = queries.last_received(seen, most=50)
            orphans = queries.without_log(seen)
            awaited = queries.logs_not_received(seen)
            words = [str(vial.issued_to) + str(vial.received_by) for vial in orphans.rows]
            words += [f"{one.fish.arm}{one.fish.logged_by}" for one in awaited.rows]
        assert (len(came), orphans.total, awaited.total) == (many, many, many)
        assert len(words) == 2 * many

    def test_somebody_without_a_name_on_screen_is_called_as_they_sign_in(
        self, seen, lake, office, guide, vials, log_fish
    ):
        type(guide).objects.filter(pk=guide.pk).update(display_name="")
        log_fish(vials[0])
        services.receive(lake=lake, number=number(2), actor=office, now=NOW)

        away, orphans = queries.counted_on_the_way(seen)

        assert (away.name, orphans.name) == (guide.username, guide.username)
        assert [hand.name for hand in queries.vials_in_hands(seen)] == [guide.username]


class TestFind:
    @pytest.mark.parametrize("digits", [number(12), number(12)[-3:], "0012"])
    def test_by_the_whole_number_or_its_last_digits(self, seen, lake, vials, digits):
        assert queries.find(seen, lake, digits) == [vials[11]]

    def test_several_that_end_alike(self, seen, lake, vials):
        found = queries.find(seen, lake, "2")

        assert len(found) > 1
        assert vials[11] in found

    def test_no_other_lakes_vials(self, seen, lake, other_lake, office):
        make_vials(other_lake.seasons.get(), first=31, count=1, by=office)

        assert queries.find(seen, lake, number(31)) == []

    def test_for_a_stranger_there_are_none(self, lake, stranger, vials):
        assert queries.find(vials_at(stranger, lake), lake, number(1)) == []


class TestLife:
    def test_tells_what_was_done_and_what_is_to_come(self, make_run, lake, guide, office):
        vial = make_run(count=1).vials.get()
        asked = {"lake": lake, "actor": office}
        services.issue(
            first=vial.number, last=vial.number, to=guide, now=NOW + dt.timedelta(days=1), **asked
        )
        services.receive(number=vial.number, content="two", now=NOW + dt.timedelta(days=3), **asked)

        steps, to_come = steps_of(vial), states_to_come(Vial.objects.get())

        assert [(step.at - NOW).days for step in steps] == [0, 1, 3]
        assert {step.actor for step in steps} == {"J. Pell"}
        assert "R. Ostrow" in steps[1].label
        still = [Vial.State.CLEARING, Vial.State.READY, Vial.State.READ, Vial.State.ARCHIVED]
        assert to_come == [str(state.label) for state in still]

    def test_leaves_the_fish_to_its_own_history(self, vials, log_fish):
        before = len(steps_of(vials[0]))
        log_fish(vials[0])

        assert len(steps_of(vials[0])) == before

    def test_nothing_is_to_come_for_a_vial_out_of_use(self, lake, vials, office):
        vial = services.mark_lost(lake=lake, number=number(1), actor=office, now=NOW)

        assert states_to_come(vial) == []
