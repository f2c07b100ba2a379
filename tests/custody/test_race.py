"""Two people at one tray or box: the race is played out with a lock, not left to luck."""

from functools import partial

import pytest
from django.db import transaction

from samples.custody import services
from samples.custody.rules import USUAL_MEDIUM
from samples.models import Vial
from tests.custody.rows import make_box, make_tray, read, receive
from tests.people import CAUGHT_ON, NOW
from tests.vials.numbers import number
from tests.vials.test_race import beside
from tests.waiting import LONGEST_S, wait_until_somebody_waits_for_a_lock


def one_after_the_other(first, second):
    """Let the second wait for the first's lock, and return what each gave or raised."""
    outcome: list[object] = []
    other = beside(second, outcome)
    with transaction.atomic():
        gave = first()
        other.start()
        wait_until_somebody_waits_for_a_lock()
    other.join(timeout=LONGEST_S)
    return [gave, *outcome]


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
class TestAtOnce:
    def into_tray(self, tray, actor, typed):
        return lambda: services.put_in_tray(
            tray=tray, number=typed, actor=actor, now=NOW, today=CAUGHT_ON
        )

    def into_box(self, box, actor, typed, **more):
        return lambda: services.put_in_box(box=box, number=typed, actor=actor, now=NOW, **more)

    def test_two_people_scan_one_tray_and_each_vial_has_its_own_place(
        self, lake, vials, office, biologist
    ):
        receive(vials[:2], office)
        tray = make_tray(lake, office)

        scanned = one_after_the_other(
            self.into_tray(tray, office, number(1)), self.into_tray(tray, biologist, number(2))
        )

        assert [(one.vial, one.place) for one in scanned] == [(vials[0], 1), (vials[1], 2)]

    def test_one_vial_scanned_by_two_is_counted_once(self, lake, vials, office, biologist):
        receive(vials[:1], office)
        tray = make_tray(lake, office)

        scanned = one_after_the_other(
            self.into_tray(tray, office, number(1)), self.into_tray(tray, biologist, number(1))
        )

        assert [(one.place, one.first_time) for one in scanned] == [(1, True), (1, False)]
        assert vials[0].history.filter(state="clearing").count() == 1

    def test_the_last_place_of_a_tray_goes_to_one(self, lake, vials, office, biologist):
        receive(vials[:2], office)
        tray = make_tray(lake, office, size=1)

        _, second = one_after_the_other(
            self.into_tray(tray, office, number(1)), self.into_tray(tray, biologist, number(2))
        )

        assert second.code == "tray_full"
        assert Vial.objects.get(pk=vials[1].pk).state == "received"

    def test_one_vial_goes_into_one_of_two_trays(self, lake, vials, office, biologist):
        receive(vials[:1], office)
        trays = [make_tray(lake, office, name=name) for name in ("C-1", "C-2")]

        _, second = one_after_the_other(
            self.into_tray(trays[0], office, number(1)),
            self.into_tray(trays[1], biologist, number(1)),
        )

        assert second.code == "other_tray"
        assert not trays[1].filled.exists()

    def test_a_move_and_an_undo_where_it_came_from_leave_it_in_one_tray(
        self, lake, vials, office, biologist
    ):
        receive(vials[:1], office)
        trays = [make_tray(lake, office, name=name) for name in ("C-1", "C-2")]
        self.into_tray(trays[0], biologist, number(1))()

        _, second = one_after_the_other(
            lambda: services.put_in_tray(
                tray=trays[1],
                number=number(1),
                move=True,
                actor=office,
                now=NOW,
                today=CAUGHT_ON,
            ),
            lambda: services.undo_scan(tray=trays[0], number=number(1), actor=biologist, now=NOW),
        )

        assert second.code == "nothing_to_undo"
        assert trays[1].filled.get().vial == vials[0]
        assert Vial.objects.get(pk=vials[0].pk).state == "clearing"

    def test_a_vial_that_goes_back_and_one_that_is_scanned_get_two_places(
        self, lake, vials, office, biologist
    ):
        receive(vials[:2], office)
        trays = [make_tray(lake, office, name=name) for name in ("C-1", "C-2")]
        self.into_tray(trays[0], office, number(1))()
        services.put_in_tray(
            tray=trays[1], number=number(1), move=True, actor=office, now=NOW, today=CAUGHT_ON
        )

        _, second = one_after_the_other(
            lambda: services.undo_scan(tray=trays[1], number=number(1), actor=office, now=NOW),
            self.into_tray(trays[0], biologist, number(2)),
        )

        assert (second.vial, second.place) == (vials[1], 2)

    def test_two_people_fill_one_box_from_the_same_proposal(self, lake, vials, office, biologist):
        read(vials[:2], office)
        box = make_box(lake, office)
        proposal = {"slot": "A1", "proposed": "A1"}

        scanned = one_after_the_other(
            self.into_box(box, office, number(1), **proposal),
            self.into_box(box, biologist, number(2), **proposal),
        )

        assert [one.slot for one in scanned] == ["A1", "A2"]

    def test_two_trays_of_one_name_are_not_begun_at_once(self, lake, office, biologist):
        def start(actor):
            return services.start_tray(
                lake=lake,
                name="C-14",
                medium=USUAL_MEDIUM,
                preparation="whole",
                started_on=CAUGHT_ON,
                actor=actor,
                now=NOW,
                today=CAUGHT_ON,
            )

        mine = partial(start, office)
        _, second = one_after_the_other(mine, partial(start, biologist))
        assert second.code == "tray_in_use"

    def test_a_double_click_begins_one_tray(self, lake, office):
        start = partial(
            services.start_tray,
            lake=lake,
            name="C-14",
            medium=USUAL_MEDIUM,
            preparation="whole",
            started_on=CAUGHT_ON,
            actor=office,
            now=NOW,
            today=CAUGHT_ON,
        )

        first, second = one_after_the_other(start, start)

        assert first == second
