"""What becomes of an entry, as a table: no database, no clock, no phone."""

from dataclasses import replace
from uuid import UUID

import pytest

from samples.ramp.entry import read
from samples.ramp.services import changes
from samples.ramp.services.decide import decide, decide_all
from samples.ramp.services.known import KnownCount
from tests.ramp import entries
from tests.ramp.one_trip import (
    EMPTY,
    FAR,
    FREE,
    LAKE,
    RECEIVED,
    STRANGE_TRIP,
    TAKEN,
    TRIP,
    UNPRINTED,
    VOID,
    WRONG,
    change,
    correct,
    fish,
    one_trip,
    result,
    trip,
    withdraw,
)


@pytest.fixture
def known():
    return one_trip()


LOGGED = ("logged", "")
TABLE = {
    "a fish in a free vial": (fish(), LOGGED),
    "a fish in a vial that holds another": (fish(TAKEN), ("held", "vial_taken")),
    "a number that was never printed": (fish(UNPRINTED), ("held", "unknown_vial")),
    "a void vial": (fish(VOID), ("held", "void_vial")),
    "a vial noted as empty": (fish(EMPTY), ("held", "no_otolith")),
    "a vial noted as empty that has an otolith": (fish(EMPTY, confirmed=["no_otolith"]), LOGGED),
    "a vial of another lake": (fish(FAR), ("held", "other_lake")),
    "a wrong last digit": (fish(WRONG), ("refused", "needs_answer", "vial")),
    "a wrong last digit that the label has": (
        fish(WRONG, confirmed=["wrong_check_digit"]),
        ("held", "wrong_check_digit"),
    ),
    "half a number": (fish("26 00"), ("refused", "too_short", "vial")),
    "no vial of a guide": (fish(""), ("refused", "no_vial", "vial")),
    "a trip that never came": (fish(party_id=STRANGE_TRIP), ("held", "unknown_party")),
    "a species of another lake": (
        fish(species="burbot"),
        ("refused", "unknown_species", "species"),
    ),
    "an unlikely length": (fish(length="20.4"), ("refused", "needs_answer", "length")),
    "an unlikely length that is right": (
        fish(length="20.4", confirmed=["length_out_of_range"]),
        LOGGED,
    ),
    "spines of another species": (fish(spines=8), ("refused", "needs_answer", "species")),
    "no fish at all": (
        fish(length="4", unit="mm", confirmed=["length_out_of_range", "inches_meant",
             "centimetres_meant", "missing_point", "millimetres_meant"]),
        ("refused", "impossible_length", "length"),
    ),
    "a corrected length": (correct("taken", length="9.7"), LOGGED),
    "a corrected vial": (correct("taken", vial=FREE), LOGGED),
    "a correction into a taken vial": (correct("taken", vial=RECEIVED), ("held", "vial_taken")),
    "a correction of a fish at the office": (
        correct("received", vial=RECEIVED),
        ("held", "already_received"),
    ),
    "a correction of a deleted fish": (correct("deleted"), ("held", "withdrawn")),
    "a correction of somebody else's fish": (correct("theirs"), ("held", "unknown_fish")),
    "a fish deleted": (withdraw("taken"), LOGGED),
    "a fish deleted at the office": (withdraw("received"), ("held", "already_received")),
    "a fish deleted twice": (withdraw("deleted"), ("held", "withdrawn")),
    "vials moved from an empty one": (
        entries.shift(TRIP, FREE),
        ("refused", "unknown_vial", "from_vial"),
    ),
    "vials moved into a void one": (
        entries.shift(TRIP, TAKEN),
        ("refused", "shift_blocked", "from_vial"),
    ),
    "vials moved back with one at the office": (
        entries.shift(TRIP, RECEIVED, by=-1),
        ("refused", "already_received", "from_vial"),
    ),
    "a trip": (trip(), LOGGED),
    "a trip opened again": (
        trip(party_id=TRIP) | {"entry_id": entries.new_id()},
        ("held", "entry_changed"),
    ),
    "a trip at another lake": (
        trip(lake="lake-elsewhere"),
        ("refused", "not_your_lake", "lake"),
    ),
    "a trip in no arm of the lake": (trip(arm="Sorrel"), ("refused", "unknown_arm", "arm")),
    "a trip in no reach of the arm": (
        trip(reach="Upper"),
        ("refused", "unknown_reach", "reach"),
    ),
    "a trip out of season": (
        trip(caught_on="2025-12-30"),
        ("refused", "needs_answer", "caught_on"),
    ),
    "a trip out of season by an app that cannot be asked": (
        trip(caught_on="2025-12-30", app=1),
        LOGGED,
    ),
    "a trip changed": (change(reach="Lower"), LOGGED),
    "a trip ended": (entries.common("party_closed", TRIP), LOGGED),
    "a count": (
        entries.common("unmeasured_count", TRIP) | {"species": "white-crappie", "count": 4},
        LOGGED,
    ),
    "a count of a species of another lake": (
        entries.common("unmeasured_count", TRIP) | {"species": "burbot", "count": 4},
        ("refused", "unknown_species", "species"),
    ),
}  # fmt: skip


@pytest.mark.parametrize(("payload", "expected"), TABLE.values(), ids=TABLE.keys())
def test_an_entry_is_decided_on_by_what_is_known(known, payload, expected):
    decision, _ = decide(read(payload), known)

    assert result(decision) == expected


@pytest.mark.parametrize(("payload", "expected"), TABLE.values(), ids=TABLE.keys())
def test_only_what_is_logged_or_held_is_written_and_known(known, payload, expected):
    decision, after = decide(read(payload), known)

    held = [one for one in decision.changes if isinstance(one, changes.HoldEntry)]
    assert len(held) == (expected[0] == "held")
    assert bool(decision.changes) == (expected[0] != "refused")
    assert (after == known) == (expected[0] == "refused")


@pytest.mark.parametrize(("payload", "expected"), TABLE.values(), ids=TABLE.keys())
def test_the_same_entry_again_changes_nothing(known, payload, expected):
    entry = read(payload)

    first, second = decide_all([entry, entry], known)

    again = ("already_logged", "") if expected == LOGGED else expected
    assert result(second) == again
    assert not second.changes
    assert first.answer.entry_id == second.answer.entry_id


@pytest.mark.parametrize("payload", [fish(), correct("taken"), trip(), change()])
def test_an_entry_that_comes_again_with_other_facts_is_held(known, payload):
    _, after = decide(read(payload), known)

    decision, _ = decide(read(payload | {"sex": "M", "reach": "Lower"}), after)

    assert result(decision) == ("held", "entry_changed")


class TestWhatFollows:
    def test_a_vial_is_taken_by_the_fish_before(self, known):
        decisions = decide_all([read(fish()), read(fish(length="8.8"))], known)

        assert [result(one) for one in decisions] == [LOGGED, ("held", "vial_taken")]

    def test_a_deleted_fish_frees_its_vial_for_the_next(self, known):
        decisions = decide_all([read(withdraw("taken")), read(fish(TAKEN))], known)

        assert [result(one) for one in decisions] == [LOGGED, LOGGED]

    def test_a_fish_that_is_refused_leaves_its_vial_free(self, known):
        decisions = decide_all([read(fish(length="20.4")), read(fish())], known)

        assert result(decisions[1]) == LOGGED

    def test_fish_belong_to_the_trip_opened_before_them(self, known):
        opened = trip(arm="Brindle", reach="Lower")

        first, second = decide_all([read(opened), read(fish(party_id=opened["party_id"]))], known)

        assert [result(first), result(second)] == [LOGGED, LOGGED]
        [logged] = second.changes
        assert isinstance(logged, changes.LogFish)
        assert (logged.trip.arm, logged.trip.reach, logged.trip.donor) == (8, 9, 10)

    def test_fish_after_a_move_are_of_the_next_leg(self, known):
        moved = change(arm_change="moved", reach="Lower")

        _, decision = decide_all([read(moved), read(fish())], known)

        [logged] = decision.changes
        assert isinstance(logged, changes.LogFish)
        assert (logged.trip.leg, logged.trip.reach) == (2, 9)

    def test_a_fish_of_the_batch_is_moved_with_those_before_it(self, known):
        alone = replace(known, fish={}, holders={})
        shifted = read(entries.shift(TRIP, FREE))

        logged, moved = decide_all([read(fish()), shifted], alone)

        assert [result(logged), result(moved)] == [LOGGED, LOGGED]
        assert moved.changes[0] == changes.MoveFish({logged.answer.entry_id: TAKEN})

    def test_a_count_of_the_batch_can_be_withdrawn(self, known):
        count = entries.common("unmeasured_count", TRIP) | {"species": "white-crappie", "count": 4}

        _, decision = decide_all([read(count), read(entries.withdrawal(count))], known)

        assert isinstance(decision.changes[0], changes.WithdrawCount)


def test_vials_are_not_moved_from_a_fish_that_the_office_is_checking(known):
    checked = replace(known, held_vials=frozenset({(TRIP, FREE)}))

    decision, _ = decide(read(entries.shift(TRIP, FREE)), checked)

    assert result(decision) == ("refused", "unknown_vial", "from_vial")


class TestWhoMay:
    def test_a_clerk_logs_fish_without_a_vial_and_names_their_donor(self, known):
        clerks = replace(known.lakes[LAKE], for_others=True)
        at_desk = replace(known, lakes={LAKE: clerks})
        opened = read(trip(donor_name="M. Sable"))

        one, other = decide_all([read(fish("")), opened], at_desk)

        assert [result(one), result(other)] == [LOGGED, LOGGED]
        assert isinstance(other.changes[0], changes.OpenTrip)
        assert other.changes[0].trip.new_donor == "M. Sable"

    @pytest.mark.parametrize(
        ("payload", "reason"),
        [
            (fish(length="20.4"), "needs_answer"),
            (fish(WRONG), "wrong_check_digit"),
            (fish(""), "no_vial_number"),
            (fish("26 00"), "no_vial_number"),
        ],
    )
    def test_what_a_phone_would_be_asked_is_held_where_an_office_pasted_it(
        self, known, payload, reason
    ):
        decision, _ = decide(read(payload), replace(known, is_pasted=True))

        assert result(decision) == ("held", reason)

    def test_an_office_corrects_a_fish_whose_vial_is_there(self, known):
        late = read(correct("received", vial=RECEIVED, length="9.7"))

        decision, _ = decide(late, replace(known, is_resolved=True))

        assert result(decision) == LOGGED

    def test_a_date_of_aged_fish_stays(self, known):
        aged = replace(known.trips[TRIP], has_aged_fish=True)

        decision, _ = decide(
            read(change(caught_on="2026-05-05")), replace(known, trips={TRIP: aged})
        )

        assert result(decision) == ("refused", "already_aged", "caught_on")


def test_a_held_entry_goes_to_the_office_of_its_trip_and_keeps_its_first_reason(known):
    entry = read(fish(TAKEN))
    first, after = decide(entry, known)

    [held] = first.changes
    assert isinstance(held, changes.HoldEntry)
    assert (held.lake, held.party_id, held.vial) == (LAKE, TRIP, TAKEN)

    freed = replace(after, holders={})
    assert result(decide(entry, freed)[0]) == ("held", "vial_taken")


def test_a_vial_of_another_lake_is_not_shown_to_this_office(known):
    decision, _ = decide(read(fish(FAR)), known)

    [held] = decision.changes
    assert isinstance(held, changes.HoldEntry)
    assert held.vial is None


def test_a_count_of_the_authors_own_is_withdrawn(known):
    counted = KnownCount(entry_id=UUID(int=21, version=4), party_id=TRIP)
    withdrawal = entries.withdrawal(fish() | {"entry_id": str(counted.entry_id)})

    decision, _ = decide(read(withdrawal), known.with_count(counted))

    assert decision.changes[0] == changes.WithdrawCount(counted.entry_id)
