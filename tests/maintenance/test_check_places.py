"""Trays and boxes beside their vials: what contradicts is found, and the advice mends it."""

from datetime import timedelta

import pytest

from samples.custody.services import dry_tray, put_in_box, put_in_tray, take_out
from samples.maintenance.check import check_data
from samples.models import TrayPlace, Vial
from tests.custody.rows import make_box, make_tray, receive
from tests.people import CAUGHT_ON, NOW

LATER = NOW + timedelta(minutes=1)


@pytest.fixture
def vial(season, office, vials):
    [vial] = receive([vials[20]], office)
    return vial


@pytest.fixture
def set_vial(vial):
    def set_vial(**facts):
        Vial.objects.filter(pk=vial.pk).update(**facts)

    return set_vial


@pytest.fixture
def boxed(lake, office, vial, set_vial):
    """Return the box in whose slot A1 the vial is archived."""
    box = make_box(lake, office)
    set_vial(state="archived", box=box, archive_box="26-04", archive_slot="A1")
    return box


def found():
    return [(one.code, one.where) for one in check_data(now=NOW)]


def place_in(tray, vial, by, place=1):
    TrayPlace.objects.create(tray=tray, place=place, vial=vial, scanned_by=by, scanned_at=NOW)
    return tray


@pytest.mark.parametrize(
    ("code", "wrong"),
    [
        ("vial_beside_its_box", {"archive_box": "26-05"}),
        ("vial_beside_its_box", {"taken_out_at": NOW}),
        ("vial_outside_its_box", {"archive_slot": "K7"}),
    ],
    ids=["another name", "in and out", "no such slot"],
)
def test_a_record_that_contradicts_the_box_is_mended_by_a_scan(
    boxed, vial, set_vial, office, code, wrong
):
    assert found() == []
    by = {"taken_out_by": office} if "taken_out_at" in wrong else {}
    set_vial(**wrong, **by)
    assert found() == [(code, (vial.number,))]

    put_in_box(box=boxed, number=vial.number, actor=office, now=LATER)

    assert found() == []


def test_one_in_a_box_of_another_lake_is_moved(boxed, lake, other_lake, vial, set_vial, office):
    set_vial(box=make_box(other_lake, office))
    assert found() == [("vial_in_box_of_other_lake", (vial.number,))]

    put_in_box(box=boxed, number=vial.number, move=True, actor=office, now=LATER)

    assert found() == []


def test_two_in_one_slot_are_told_apart_by_a_scan(boxed, vials, vial, office):
    [other] = receive([vials[21]], office)
    of_old_record = {"state": "archived", "archive_box": "26-04", "archive_slot": "a1"}
    Vial.objects.filter(pk=other.pk).update(**of_old_record)
    assert found() == [("vials_share_slot", (vial.number, other.number))]

    put_in_box(box=boxed, number=other.number, slot="A2", actor=office, now=LATER)

    assert found() == []


class TestTrays:
    @pytest.fixture
    def tray(self, lake, office, vial):
        return place_in(make_tray(lake, office), vial, office)

    @pytest.fixture
    def scan(self, vial, office):
        def scan(tray, **more):
            put_in_tray(
                tray=tray,
                number=vial.number,
                actor=office,
                now=LATER,
                today=CAUGHT_ON,
                **more,
            )

        return scan

    def test_one_that_is_not_marked_as_clearing(self, tray, vial, scan):
        assert found() == [("vial_beside_its_tray", (vial.number,))]

        scan(tray)

        assert Vial.objects.get(pk=vial.pk).state == "clearing"
        assert found() == []

    def test_an_archived_one_in_medium(self, tray, boxed, vial, office, lake):
        assert found() == [("vial_archived_in_medium", (vial.number,))]

        take_out(lake=lake, number=vial.number, actor=office, now=LATER)
        put_in_tray(tray=tray, number=vial.number, actor=office, now=LATER, today=CAUGHT_ON)
        dry_tray(tray=tray, early=True, actor=office, now=LATER, today=CAUGHT_ON)

        assert found() == []

    @pytest.mark.parametrize("into", [0, 1])
    def test_one_in_two_trays(self, tray, lake, vial, set_vial, office, scan, into):
        set_vial(state="clearing")
        other = place_in(make_tray(lake, office, name="C-15"), vial, office)
        assert found() == [("vial_in_two_trays", (vial.number,))]

        scan([tray, other][into])

        assert TrayPlace.objects.get(vial=vial).tray == [tray, other][into]

    def test_one_in_a_tray_of_another_lake(self, other_lake, lake, vial, set_vial, office, scan):
        set_vial(state="clearing")
        place_in(make_tray(other_lake, office), vial, office)
        assert found() == [("vial_in_tray_of_other_lake", (vial.number,))]

        scan(make_tray(lake, office), move=True)

        assert found() == []

    def test_one_still_clearing_in_a_tray_that_was_dried(
        self, tray, vial, set_vial, lake, office, scan
    ):
        set_vial(state="clearing")
        type(tray).objects.update(dried_on=CAUGHT_ON)
        assert found() == [("vial_in_dried_tray", (vial.number,))]

        scan(make_tray(lake, office, name="C-15"))

        assert found() == []

    def test_one_clearing_in_no_tray_is_work_and_no_problem(self, vial, set_vial):
        set_vial(state="clearing")

        [note] = check_data(now=NOW)

        assert (note.code, note.where, note.is_problem) == (
            "vial_in_no_tray",
            (vial.number,),
            False,
        )
