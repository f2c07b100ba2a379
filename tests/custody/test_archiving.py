"""Boxes: vials archived, taken out and brought back."""

from datetime import timedelta

import pytest

from samples.custody import queries, services
from samples.custody.queries import boxes
from samples.custody.services import archiving
from samples.lab.services import withdraw_reading
from samples.models import Reading, TrayPlace, Vial
from tests.custody.rows import make_box, read, receive
from tests.people import NOW
from tests.vials.numbers import number

LATER = NOW + timedelta(minutes=1)


@pytest.fixture
def scan(box, office):
    """Archive vials a second apart, each by its number."""
    seconds = iter(range(1000))

    def scan(typed, *, into=box, by=office, **more):
        now = NOW + timedelta(seconds=next(seconds))
        return services.put_in_box(box=into, number=typed, actor=by, now=now, **more)

    return scan


def refused(act, *args, **kwargs):
    with pytest.raises(services.CannotArchive) as caught:
        act(*args, **kwargs)
    return caught.value


def of(vial):
    return Vial.objects.get(pk=vial.pk)


class TestBox:
    def test_has_its_name_once(self, lake, box, office):
        asked = {"lake": lake, "rows": 2, "columns": 3, "place": "", "actor": office}
        later = NOW + timedelta(hours=1)

        problem = refused(services.make_box, name="26-04", now=later, **asked)

        assert (problem.code, problem.field) == ("box_exists", "name")

    def test_sent_twice_by_a_double_click_is_one_box(self, lake, box, office, biologist):
        asked = {"lake": lake, "name": "26-04", "rows": 2, "columns": 3, "place": ""}
        again = NOW + timedelta(seconds=1)

        assert services.make_box(actor=office, now=again, **asked) == box

        for changes in ({"actor": biologist}, {"actor": office, "rows": 4}):
            problem = refused(services.make_box, now=again, **asked | changes)
            assert problem.code == "box_exists"

    def test_may_be_kept_elsewhere(self, box, office):
        services.set_place(box=box, place="Cabinet 2", actor=office, now=NOW)

        assert box.history.filter(history_date=NOW).get().place == "Cabinet 2"


class TestScan:
    def test_each_vial_takes_the_next_free_slot_dated_and_signed(self, scan, box, vials, office):
        read(vials[:4], office)

        slots = [scan(number(place)).slot for place in range(1, 5)]

        assert slots == ["A1", "A2", "A3", "B1"]
        vial = of(vials[3])
        assert (vial.state, vial.box, vial.archive_box) == ("archived", box, "26-04")
        assert vial.archived_by == office
        assert vial.history.latest().archive_slot == "B1"

    def test_the_last_digits_are_looked_for_among_what_can_be_archived(self, scan, vials, office):
        read(vials[2:3], office)

        assert scan("0003").vial == vials[2]

    def test_twice_stays_in_its_slot(self, scan, vials, office):
        read(vials[:1], office)
        scan(number(1))

        again = scan(number(1))

        assert (again.first_time, again.slot) == (False, "A1")

    def test_goes_to_the_slot_that_is_named(self, scan, vials, office):
        read(vials[:1], office)

        assert scan(number(1), slot="b 2", proposed="A1").slot == "B2"

    def test_a_slot_that_is_taken_names_its_vial_and_offers_the_next(self, scan, vials, office):
        read(vials[:2], office)
        scan(number(1))

        problem = refused(scan, number(2), slot="A1", proposed="A2")

        assert (problem.code, problem.field, problem.slot) == ("slot_taken", "slot", "A2")
        assert of(vials[1]).state == "read"

    def test_a_proposal_that_went_to_another_vial_meanwhile_is_no_question(
        self, scan, vials, office, biologist
    ):
        read(vials[:2], office)
        scan(number(1), slot="A1", proposed="A1", by=biologist)

        assert scan(number(2), slot="A1", proposed="A1").slot == "A2"

    @pytest.mark.parametrize("typed", ["C1", "A4", "first"])
    def test_a_slot_that_the_box_does_not_have(self, scan, vials, office, typed):
        read(vials[:1], office)

        assert refused(scan, number(1), slot=typed).code == "no_such_slot"

    def test_a_full_box_takes_no_more(self, scan, lake, vials, office):
        read(vials[:2], office)
        small = make_box(lake, office, name="S", rows=1, columns=1)
        scan(number(1), into=small)

        assert refused(scan, number(2), into=small).code == "box_full"

    def test_one_without_a_reading_is_archived_only_on_a_word(self, scan, vials, office):
        receive(vials[:1], office)

        assert refused(scan, number(1)).remedy == "unread"
        assert scan(number(1), unread=True).slot == "A1"

    @pytest.mark.parametrize("state", ["printed", "issued", "used", "clearing", "lost", "void"])
    def test_a_vial_that_cannot_be_archived_says_so(self, scan, vials, guide, state):
        Vial.objects.filter(pk=vials[0].pk).update(state=state, issued_to=guide)

        assert refused(scan, number(1)).code == f"is_{state}"

    def test_one_that_lies_in_its_medium_is_rinsed_first(self, scan, tray, vials, office):
        read(vials[:1], office)
        TrayPlace.objects.create(
            tray=tray, place=1, vial=vials[0], scanned_by=office, scanned_at=NOW
        )

        assert refused(scan, number(1)).code == "in_medium"

    def test_one_of_another_box_is_moved_on_a_word(self, scan, lake, box, vials, office):
        read(vials[:1], office)
        scan(number(1))
        other = make_box(lake, office, name="26-05")

        assert refused(scan, number(1), into=other).remedy == "move"
        scan(number(1), into=other, move=True)

        assert of(vials[0]).box == other
        assert queries.slots_taken(box) == {}

    def test_slots_of_old_records_are_not_given_out_again(self, scan, vials, office):
        read(vials[:1], office)
        Vial.objects.filter(pk=vials[5].pk).update(
            state="archived", archive_box="26-04", archive_slot="A1"
        )

        assert scan(number(1)).slot == "A2"


class TestUndo:
    def test_the_last_scan_and_the_one_before(self, scan, box, vials, office):
        read(vials[:2], office)
        scan(number(1))
        scan(number(2))

        undone = [
            services.undo_archive(
                box=box, number=number(place), actor=office, now=LATER
            ).vial.number
            for place in (2, 1)
        ]

        assert undone == [number(2), number(1)]
        vial = of(vials[0])
        assert (vial.state, vial.box, vial.archive_slot) == ("read", None, "")

    def test_never_what_somebody_else_scanned(self, scan, box, vials, office, biologist):
        read(vials[:1], office)
        scan(number(1), by=biologist)

        problem = refused(services.undo_archive, box=box, number=number(1), actor=office, now=LATER)
        assert problem.code == "nothing_to_undo"

    def test_a_vial_that_was_moved_goes_back_to_its_box(self, scan, lake, box, vials, office):
        read(vials[:1], office)
        scan(number(1))
        other = make_box(lake, office, name="26-05")
        scan(number(1), into=other, move=True)

        services.undo_archive(box=other, number=number(1), actor=office, now=LATER)

        assert (of(vials[0]).box, of(vials[0]).archive_slot) == (box, "A1")

    def test_not_into_a_slot_that_another_vial_gets_at_the_same_moment(
        self, scan, lake, vials, office, monkeypatch
    ):
        read(vials[:2], office)
        other = make_box(lake, office, name="26-05")
        scan(number(1))
        scan(number(1), into=other, move=True)
        scan(number(2), slot="A1")
        # As it looked to who undoes, before the other scan was done.
        monkeypatch.setattr(archiving, "slots_taken", lambda box, *, but: {})

        problem = refused(
            services.undo_archive, box=other, number=number(1), actor=office, now=LATER
        )

        assert problem.code == "moved_on"
        assert of(vials[0]).box == other

    def test_not_into_a_slot_that_went_to_another_vial(self, scan, lake, box, vials, office):
        read(vials[:2], office)
        scan(number(1))
        other = make_box(lake, office, name="26-05")
        scan(number(1), into=other, move=True)
        scan(number(2))

        problem = refused(
            services.undo_archive, box=other, number=number(1), actor=office, now=LATER
        )

        assert problem.code == "moved_on"
        assert of(vials[0]).box == other


class TestOut:
    @pytest.fixture
    def archived(self, scan, vials, office):
        read(vials[:2], office)
        scan(number(1))
        return vials[0]

    def take_out(self, lake, office, typed="0001"):
        return services.take_out(lake=lake, number=typed, actor=office, now=LATER)

    def bring_back(self, lake, office, typed="0001"):
        return services.bring_back_to_slot(lake=lake, number=typed, actor=office, now=LATER)

    def test_its_slot_is_kept_until_it_is_back(self, scan, lake, archived, office):
        self.take_out(lake, office)

        assert (of(archived).state, of(archived).taken_out_by) == ("read", office)
        assert scan(number(2)).slot == "A2"

        back = self.bring_back(lake, office)
        assert (back.slot, back.is_back) == ("A1", True)
        assert (of(archived).state, of(archived).taken_out_at) == ("archived", None)

    def test_scanned_into_its_box_it_goes_back_to_its_slot(self, scan, lake, archived, office):
        self.take_out(lake, office)

        back = scan(number(1), slot="A2", proposed="A2")

        assert (back.slot, back.is_back) == ("A1", True)

    def test_scanned_into_another_box_it_is_asked_about(self, scan, lake, archived, office):
        self.take_out(lake, office)
        other = make_box(lake, office, name="26-05")

        problem = refused(scan, number(1), into=other)

        assert (problem.code, problem.remedy) == ("belongs_elsewhere", "move")

    @pytest.mark.parametrize("state", ["received", "ready"])
    def test_one_that_nobody_read_is_as_far_as_it_was(self, scan, lake, vials, office, state):
        receive(vials[4:5], office)
        vials[4].state = state
        vials[4].save()
        scan(number(5), unread=True)

        assert self.take_out(lake, office, number(5)).state == state

    def test_what_is_out_is_not_taken_out_again(self, lake, archived, office):
        self.take_out(lake, office)

        assert refused(self.take_out, lake, office).code == "out_already"

    def test_what_was_lost_while_it_was_out_is_received_first(self, lake, archived, office):
        services.take_out(lake=lake, number=number(1), actor=office, now=LATER)
        Vial.objects.filter(pk=archived.pk).update(state="lost")

        problem = refused(services.take_out, lake=lake, number=number(1), actor=office, now=LATER)
        assert problem.code == "is_lost"

    def test_what_is_in_no_box_is_not_taken_out(self, lake, archived, office):
        assert refused(self.take_out, lake, office, number(2)).code == "is_read"

    def test_its_only_reading_withdrawn_it_stays_out(self, lake, archived, office):
        self.take_out(lake, office)
        reading = Reading.objects.get(vial=archived)

        withdraw_reading(reading=reading, actor=office, now=LATER)

        vial = of(archived)
        assert (vial.state, vial.archive_slot) == ("received", "A1")
        assert self.bring_back(lake, office).slot == "A1"

    def test_more_than_are_listed_are_counted(self, scan, lake, vials, office, monkeypatch):
        monkeypatch.setattr(boxes, "MOST_LISTED", 1)
        read(vials[:2], office)
        for place in (1, 2):
            scan(number(place))
            now = LATER + timedelta(seconds=place)
            services.take_out(lake=lake, number=number(place), actor=office, now=now)

        out = queries.taken_out(Vial.objects.all())
        assert ([vial.number for vial in out.rows], out.total) == ([number(1)], 2)

    def test_what_was_never_out_is_not_brought_back(self, lake, archived, office):
        assert self.bring_back(lake, office).first_time is False
        assert refused(self.bring_back, lake, office, number(2)).code == "not_out"


class TestLists:
    def test_what_waits_for_a_box_is_read_and_dry(self, scan, tray, vials, office):
        read(vials[:3], office)
        scan(number(1))
        TrayPlace.objects.create(
            tray=tray, place=1, vial=vials[1], scanned_by=office, scanned_at=NOW
        )

        assert list(queries.waiting_to_archive(Vial.objects.all())) == [vials[2]]

    def test_a_tray_is_tallied_as_it_goes_into_the_box(self, scan, tray, box, vials, office):
        read(vials[:3], office)
        for place, vial in enumerate(vials[:3], start=1):
            TrayPlace.objects.create(
                tray=tray, place=place, vial=vial, scanned_by=office, scanned_at=NOW
            )
        tray.dried_on = NOW.date()
        tray.save()
        scan(number(1))

        tally = queries.tally_of_box(box, queries.last_archived(box, office))

        assert (tally.count, tally.expected) == (1, 3)
        assert tally.missing == [number(2), number(3)]

    def test_the_map_shows_what_is_filled_out_lost_and_free(self, scan, lake, box, vials, office):
        read(vials[:3], office)
        for place in (1, 2, 3):
            scan(number(place))
        services.take_out(lake=lake, number=number(2), actor=office, now=LATER)
        Vial.objects.filter(pk=vials[2].pk).update(state="lost")

        [[letter, slots], _] = queries.slots_of_box(box)

        assert letter == "A"
        assert [slot.stands for slot in slots] == ["filled", "out", "missing"]

    def test_the_index_names_every_vial_with_its_slot(self, scan, lake, vials, office):
        read(vials[:2], office)
        scan(number(2))
        scan(number(1))

        lines = queries.archive_index(Vial.objects.all())

        assert [(line.number, line.slot) for line in lines] == [
            (number(1), "A2"),
            (number(2), "A1"),
        ]
