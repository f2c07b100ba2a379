"""Trays: vials put to clear, made ready, rinsed and dried."""

from datetime import timedelta

import pytest

from samples.custody import queries, services
from samples.custody.rules import NO_MEDIUM, USUAL_MEDIUM
from samples.lab.services import withdraw_reading
from samples.models import ClearingTray, Reading, Vial
from tests.custody.rows import make_tray, read, receive
from tests.factories import make_fish
from tests.people import CAUGHT_ON, NOW, make_vials
from tests.vials.numbers import number

LATER = NOW + timedelta(minutes=1)


def refused(act, *args, **kwargs):
    with pytest.raises(services.CannotClear) as caught:
        act(*args, **kwargs)
    return caught.value


class TestStart:
    def start(self, lake, office, **changes):
        usual = {
            "name": "C-14",
            "medium": USUAL_MEDIUM,
            "preparation": "whole",
            "started_on": CAUGHT_ON,
            "actor": office,
            "now": NOW,
            "today": CAUGHT_ON,
        }
        return services.start_tray(lake=lake, **usual | changes)

    def test_keeps_the_medium_and_its_days(self, lake, office):
        tray = self.start(lake, office)

        assert (tray.glycerin_parts, tray.ethanol_parts) == (3, 2)
        assert tray.ready_on == CAUGHT_ON + timedelta(days=10)
        assert tray.history.get().history_user == office

    def test_sent_twice_by_a_double_click_is_one_tray(self, lake, office, biologist):
        tray = self.start(lake, office)

        assert self.start(lake, office, now=NOW + timedelta(seconds=1)) == tray

        for changes in ({"size": 20}, {"actor": biologist}, {"now": NOW + timedelta(hours=1)}):
            assert refused(self.start, lake, office, **changes).code == "tray_in_use"

    def test_a_name_is_free_again_once_the_tray_is_dry(self, lake, office, tray):
        problem = refused(self.start, lake, office, name="c-14")
        assert (problem.code, problem.field) == ("tray_in_use", "name")

        services.dry_tray(tray=tray, actor=office, now=NOW, today=CAUGHT_ON)
        assert self.start(lake, office, name="c-14").pk != tray.pk

    @pytest.mark.parametrize("days", [1, -400])
    def test_a_day_that_cannot_be_is_refused(self, lake, office, days):
        started_on = CAUGHT_ON + timedelta(days=days)

        assert refused(self.start, lake, office, started_on=started_on).code == "not_the_day"
        assert not ClearingTray.objects.exists()


class TestScan:
    def test_puts_a_vial_to_clear_in_the_next_place_dated_and_signed(self, scan, vials, office):
        receive(vials[:2], office)

        places = [scan(number(place)).place for place in (2, 1)]

        vial = Vial.objects.get(pk=vials[1].pk)
        assert places == [1, 2]
        assert (vial.state, vial.clearing_from) == ("clearing", CAUGHT_ON)
        assert vial.ready_on == CAUGHT_ON + timedelta(days=10)
        assert vial.history.latest().history_user == office

    @pytest.mark.parametrize("typed", ["0003", "00034", "26 0003 4"])
    def test_takes_the_last_digits_with_or_without_the_check_digit(
        self, scan, vials, office, typed
    ):
        assert number(3) == "2600034"
        receive(vials[:5], office)

        assert scan(typed).vial == vials[2]

    def test_twice_is_counted_once(self, scan, tray, vials, office):
        receive(vials[:1], office)
        scan(number(1))

        again = scan("0001")

        assert (again.first_time, again.place) == (False, 1)
        assert tray.filled.count() == 1

    def test_one_that_comes_later_clears_as_long_as_the_others(self, scan, vials, office):
        receive(vials[:1], office)

        scan(number(1), today=CAUGHT_ON + timedelta(days=3))

        assert Vial.objects.get(pk=vials[0].pk).ready_on == CAUGHT_ON + timedelta(days=13)

    def test_in_a_tray_that_is_noted_days_later_it_cleared_since_the_trays_start(
        self, scan, lake, vials, office
    ):
        receive(vials[:2], office)
        started_on = CAUGHT_ON - timedelta(days=4)
        late = make_tray(lake, office, name="C-15", started_on=started_on)
        scan(number(1), into=late)
        scan(number(2), into=late, today=CAUGHT_ON + timedelta(days=1))

        dates = [Vial.objects.get(pk=vial.pk).clearing_from for vial in vials[:2]]
        assert dates == [started_on, CAUGHT_ON + timedelta(days=1)]
        row = queries.tray_counted(lake, late.pk, CAUGHT_ON)
        assert row is not None
        assert row.ready_on == Vial.objects.get(pk=vials[1].pk).ready_on

    def test_without_a_medium_it_is_ready_at_once(self, scan, lake, vials, office):
        receive(vials[:1], office)
        dry = make_tray(lake, office, name="Dry", glycerin_parts=0, ethanol_parts=0, rinse_by=None)

        scan(number(1), into=dry)

        vial = Vial.objects.get(pk=vials[0].pk)
        assert (vial.state, vial.clearing_from) == ("ready", None)

    def test_one_that_was_read_stays_read_in_a_tray_without_a_medium(
        self, scan, lake, vials, office
    ):
        read(vials[:1], office)
        dry = make_tray(lake, office, name="Dry", glycerin_parts=0, ethanol_parts=0, rinse_by=None)
        scan(number(1), into=dry)
        laid = Vial.objects.get(pk=vials[0].pk).state

        services.undo_scan(tray=dry, number=number(1), actor=office, now=LATER)

        assert (laid, Vial.objects.get(pk=vials[0].pk).state) == ("read", "read")
        assert not dry.filled.exists()

    def test_digits_that_fit_several_are_asked_about(self, scan, season, vials, office):
        receive(vials[:5], office)
        # The check digit counted, 0018 is the end of 26 0001 8 too.
        assert number(1).endswith("0018")
        eighteenth = vials[4]
        Vial.objects.filter(pk=eighteenth.pk).update(number=number(18), sequence=18)

        problem = refused(scan, "0018")

        assert problem.code == "several"
        assert problem.choices == (number(18), number(1))

    def test_digits_that_fit_a_vial_which_is_not_awaited_are_asked_about(
        self, scan, season, vials, office
    ):
        """Only one can be cleared; the other may be the one in hand."""
        [archived] = make_vials(season, first=18, count=1, by=office)
        receive(vials[:1], office)
        Vial.objects.filter(pk=archived.pk).update(state="archived")

        problem = refused(scan, "0018")

        assert (problem.code, problem.choices) == ("several", (number(1), number(18)))
        assert Vial.objects.get(pk=vials[0].pk).state == "received"

    @pytest.mark.parametrize(
        ("typed", "code"),
        [
            ("18", "few_digits"),
            ("7777", "none_found"),
            ("26 0001 9", "wrong_check_digit"),
            ("26 A", "not_digits"),
            (number(900), "unknown"),
        ],
    )
    def test_what_is_no_vial_of_the_lake_is_refused(self, scan, vials, typed, code):
        assert refused(scan, typed).code == code

    @pytest.mark.parametrize("state", ["printed", "issued", "used", "archived", "lost", "void"])
    def test_a_vial_that_cannot_be_cleared_says_so(self, scan, tray, vials, guide, state):
        Vial.objects.filter(pk=vials[0].pk).update(state=state, issued_to=guide)

        assert refused(scan, number(1)).code == f"is_{state}"
        assert not tray.filled.exists()

    def test_nothing_to_clear_is_not_put_to_clear(self, scan, vials, office):
        receive(vials[:1], office, content="none")

        assert refused(scan, number(1)).code == "no_otolith"

    def test_another_species_belongs_in_another_tray(
        self, scan, lake, vials, office, party, white, black
    ):
        receive(vials[:2], office)
        make_fish(party, black, vial=vials[0])
        make_fish(party, white, vial=vials[1])
        of_white = make_tray(lake, office, name="W-1", species=white)

        assert refused(scan, number(1), into=of_white).code == "other_species"
        assert scan(number(2), into=of_white).first_time

    def test_a_full_tray_takes_no_more(self, scan, lake, vials, office):
        receive(vials[:2], office)
        small = make_tray(lake, office, name="S-1", size=1)
        scan(number(1), into=small)

        assert refused(scan, number(2), into=small).code == "tray_full"
        assert Vial.objects.get(pk=vials[1].pk).state == "received"

    def test_the_wrong_tray_is_noticed_and_the_vial_moved_on_a_word(
        self, scan, lake, tray, vials, office
    ):
        receive(vials[:1], office)
        scan(number(1))
        other = make_tray(lake, office, name="C-15")

        problem = refused(scan, number(1), into=other)
        assert (problem.code, problem.remedy) == ("other_tray", "move")

        moved = scan(number(1), into=other, move=True)
        assert (moved.moved_from, moved.place) == (tray, 1)
        assert not tray.filled.exists()

    def test_a_dry_tray_is_closed(self, scan, tray, vials, office):
        receive(vials[:1], office)
        services.dry_tray(tray=tray, actor=office, now=NOW, today=CAUGHT_ON)

        assert refused(scan, number(1)).code == "tray_dried"


class TestReady:
    READY_ON = CAUGHT_ON + timedelta(days=10)

    def test_on_its_day_all_are_ready_and_one_read_before_is_read(
        self, scan, vials, office, finish
    ):
        receive(vials[:1], office)
        read(vials[1:2], office)
        scan(number(1))
        scan(number(2))

        done = finish(services.mark_ready, today=self.READY_ON)

        assert (done.count, done.still_clearing) == (2, 0)
        states = [Vial.objects.get(pk=vial.pk).state for vial in vials[:2]]
        assert states == ["ready", "read"]

    def test_before_its_day_it_is_asked_about(self, scan, vials, office, finish):
        receive(vials[:1], office)
        scan(number(1))

        problem = refused(finish, services.mark_ready, today=self.READY_ON - timedelta(days=1))
        assert (problem.code, problem.remedy) == ("not_yet", "early")
        assert Vial.objects.get(pk=vials[0].pk).state == "clearing"

    def test_before_its_day_it_is_ready_from_today_on(self, scan, vials, office, finish):
        receive(vials[:1], office)
        scan(number(1))

        finish(services.mark_ready, today=CAUGHT_ON, early=True)

        assert Vial.objects.get(pk=vials[0].pk).ready_on == CAUGHT_ON

    def test_a_dried_tray_counts_none_that_clear_elsewhere_by_now(
        self, scan, lake, tray, vials, office, finish
    ):
        receive(vials[:1], office)
        scan(number(1))
        finish(services.dry_tray, today=self.READY_ON)
        scan(number(1), into=make_tray(lake, office, name="C-15"))

        row = queries.tray_counted(lake, tray.pk, self.READY_ON)
        assert row is not None
        assert (row.count, row.clearing, row.due) == (1, 0, 0)

    def test_one_that_came_later_clears_on(self, scan, vials, office, finish):
        receive(vials[:2], office)
        scan(number(1))
        scan(number(2), today=CAUGHT_ON + timedelta(days=3))

        done = finish(services.mark_ready, today=self.READY_ON)

        assert (done.count, done.still_clearing) == (1, 1)

    def test_rinsed_before_its_day_is_asked_about(self, scan, tray, vials, office, finish):
        receive(vials[:1], office)
        scan(number(1))

        assert refused(finish, services.dry_tray, today=CAUGHT_ON).remedy == "early"

        assert finish(services.dry_tray, today=CAUGHT_ON, early=True).count == 1
        assert ClearingTray.objects.get(pk=tray.pk).dried_on == CAUGHT_ON
        assert Vial.objects.get(pk=vials[0].pk).state == "ready"

    def test_an_empty_tray_has_none(self, finish):
        assert refused(finish, services.mark_ready, today=self.READY_ON).code == "none_clearing"


class TestMedia:
    def test_a_lab_sets_its_own_and_goes_back(self, lake, white, office):
        asked = {"lake": lake, "species": white, "preparation": "whole", "actor": office}

        services.set_medium(medium=NO_MEDIUM, now=NOW, **asked)
        row = services.set_medium(medium=USUAL_MEDIUM, now=LATER, **asked)

        assert lake.clearing_media.get() == row
        assert row.history.count() == 2
        assert services.forget_medium(lake=lake, pk=row.pk, actor=office, now=LATER)
        assert not services.forget_medium(lake=lake, pk=row.pk, actor=office, now=LATER)


def test_a_vial_that_clears_in_no_tray_is_laid_into_one(scan, vials, office):
    receive(vials[:1], office)
    Vial.objects.filter(pk=vials[0].pk).update(state="clearing")

    assert scan(number(1)).first_time


def test_a_reading_withdrawn_after_the_tray_was_rinsed_leaves_the_vial_ready(
    scan, tray, vials, office
):
    receive(vials[:1], office)
    scan(number(1))
    reading = Reading.objects.create(
        vial=vials[0], reader=office, sitting_on=CAUGHT_ON, annuli=3, read_at=NOW
    )
    Vial.objects.filter(pk=vials[0].pk).update(state="read")
    services.dry_tray(tray=tray, actor=office, now=LATER, today=CAUGHT_ON)

    withdraw_reading(reading=reading, actor=office, now=LATER)

    assert Vial.objects.get(pk=vials[0].pk).state == "ready"


def test_a_reading_is_no_move_out_of_the_tray(scan, tray, vials, office):
    """It lies in its medium until it is rinsed, read or not."""
    receive(vials[:1], office)
    scan(number(1))
    Reading.objects.create(
        vial=vials[0], reader=office, sitting_on=CAUGHT_ON, annuli=3, read_at=NOW
    )
    Vial.objects.filter(pk=vials[0].pk).update(state="read")

    assert scan(number(1)).first_time is False
