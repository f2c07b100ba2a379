"""Scans into trays undone: each vial is where it was before."""

import pytest

from samples.custody import services
from samples.models import Vial
from tests.custody.rows import make_tray, receive
from tests.custody.test_clearing import LATER, refused
from tests.people import CAUGHT_ON
from tests.vials.numbers import number


def test_the_last_scan_and_the_one_before(scan, tray, vials, office):
    receive(vials[:2], office)
    scan(number(1))
    scan(number(2))

    undone = [
        services.undo_scan(tray=tray, number=number(place), actor=office, now=LATER).vial.number
        for place in (2, 1)
    ]

    assert undone == [number(2), number(1)]
    assert not tray.filled.exists()
    rows = Vial.objects.filter(pk__in=[vials[0].pk, vials[1].pk])
    assert set(rows.values_list("state", "clearing_from", "ready_on")) == {("received", None, None)}


def test_never_what_somebody_else_scanned(scan, tray, vials, office, biologist):
    receive(vials[:1], office)
    scan(number(1), by=biologist)

    problem = refused(services.undo_scan, tray=tray, number=number(1), actor=office, now=LATER)
    assert problem.code == "nothing_to_undo"


def test_a_move_between_trays_goes_back(scan, lake, tray, vials, office):
    receive(vials[:1], office)
    scan(number(1))
    other = make_tray(lake, office, name="C-15")
    scan(number(1), into=other, move=True)

    services.undo_scan(tray=other, number=number(1), actor=office, now=LATER)

    assert tray.filled.get().vial == vials[0]
    assert not other.filled.exists()


@pytest.mark.parametrize("has_medium", [True, False])
def test_a_ready_vial_that_lay_in_another_tray_goes_back_to_it(
    scan, lake, tray, vials, office, finish, has_medium
):
    receive(vials[:1], office)
    scan(number(1))
    finish(services.mark_ready, today=CAUGHT_ON, early=True)
    parts = {} if has_medium else {"glycerin_parts": 0, "ethanol_parts": 0, "rinse_by": None}
    other = make_tray(lake, office, name="C-15", **parts)
    problem = refused(scan, number(1), into=other)
    assert (problem.code, problem.remedy) == ("other_tray", "move")
    scan(number(1), into=other, move=True)

    services.undo_scan(tray=other, number=number(1), actor=office, now=LATER)

    assert tray.filled.get().vial == vials[0]
    assert not other.filled.exists()
    assert Vial.objects.get(pk=vials[0].pk).state == "ready"


def test_a_move_between_trays_without_a_medium_goes_back(scan, lake, vials, office):
    receive(vials[:1], office)
    none = {"glycerin_parts": 0, "ethanol_parts": 0, "rinse_by": None}
    first, other = (make_tray(lake, office, name=name, **none) for name in ("D-1", "D-2"))
    scan(number(1), into=first)
    scan(number(1), into=other, move=True)

    services.undo_scan(tray=other, number=number(1), actor=office, now=LATER)

    assert first.filled.get().vial == vials[0]
    assert Vial.objects.get(pk=vials[0].pk).state == "ready"


def test_not_once_the_vial_has_moved_on(scan, tray, vials, office, finish):
    receive(vials[:1], office)
    scan(number(1))
    finish(services.mark_ready, today=CAUGHT_ON, early=True)

    problem = refused(services.undo_scan, tray=tray, number=number(1), actor=office, now=LATER)
    assert problem.code == "moved_on"
