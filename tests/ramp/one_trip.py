"""What is known of one trip at one lake, and entries about it: plain values for decisions."""

from datetime import UTC, date, datetime
from uuid import UUID

from samples.ramp.services.known import (
    Known,
    KnownArm,
    KnownFish,
    KnownLake,
    KnownSeason,
    KnownSpecies,
    KnownTrip,
    KnownVial,
)
from tests.ramp import entries

NOW = datetime(2026, 5, 6, 17, 30, tzinfo=UTC)
LAKE, OTHER_LAKE = 1, 2
TRIP, STRANGE_TRIP = UUID(int=1, version=4), UUID(int=2, version=4)
FREE, TAKEN, VOID, FAR, LAST = "2600018", "2600026", "2600034", "2601019", "2600042"
RECEIVED, EMPTY = "2600059", "2600067"
UNPRINTED, WRONG = "26 0999 6", "26 0001 5"

CRAPPIE = KnownSpecies(
    pk=5,
    name="White crappie",
    plausible_min_hundredths_mm=5_080,
    plausible_max_hundredths_mm=45_720,
    spines_min=5,
    spines_max=6,
)
FISH = {
    "taken": KnownFish(
        entry_id=UUID(int=11, version=4),
        fingerprint="taken",
        party_id=TRIP,
        lake=LAKE,
        vial=TAKEN,
    ),
    "received": KnownFish(
        entry_id=UUID(int=12, version=4),
        fingerprint="received",
        party_id=TRIP,
        lake=LAKE,
        vial=RECEIVED,
    ),
    "deleted": KnownFish(
        entry_id=UUID(int=13, version=4),
        fingerprint="deleted",
        party_id=TRIP,
        lake=LAKE,
        is_withdrawn=True,
    ),
    "theirs": KnownFish(
        entry_id=UUID(int=14, version=4),
        fingerprint="theirs",
        party_id=STRANGE_TRIP,
        lake=LAKE,
        is_own=False,
    ),
}


def one_trip():
    """One trip at one lake; a free vial, a void one, one of another lake, two with fish."""
    lake = KnownLake(
        pk=LAKE,
        name="Lake Orrinbeck",
        slug="lake-orrinbeck",
        time_zone="America/Chicago",
        seasons=(
            KnownSeason(pk=7, name="2026", starts_on=date(2026, 1, 1), ends_on=date(2026, 12, 31)),
        ),
        arms={"Brindle": KnownArm(pk=8, name="Brindle", reaches={"Lower": 9})},
        species={"white-crappie": CRAPPIE},
        own_donor=10,
    )
    trip = KnownTrip(
        party_id=TRIP,
        lake=LAKE,
        season=7,
        arm=8,
        reach=None,
        leg=1,
        donor=10,
        method="angler_kept",
        caught_on=date(2026, 5, 6),
    )
    vials = [KnownVial(number=number, lake=LAKE) for number in (FREE, TAKEN, LAST)]
    vials += [
        KnownVial(number=VOID, lake=LAKE, is_out_of_use=True),
        KnownVial(number=RECEIVED, lake=LAKE, is_received=True),
        KnownVial(number=FAR, lake=OTHER_LAKE),
        KnownVial(number=EMPTY, lake=LAKE, is_received=True, is_without_otolith=True),
    ]
    return Known(
        now=NOW,
        lakes={LAKE: lake},
        trips={TRIP: trip},
        party_ids=frozenset({TRIP}),
        vials={vial.number: vial for vial in vials},
        holders={one.vial: one.entry_id for one in FISH.values() if one.vial},
        fish={one.entry_id: one for one in FISH.values()},
    )


def result(decision):
    """Return an answer as its outcome, its reason and the fields that it speaks of."""
    answer = decision.answer
    return (answer.outcome.value, answer.reason, *sorted(answer.errors))


def fish(vial=FREE, party_id=TRIP, **more):
    return entries.fish(party_id, vial, **more)


def correct(which, **more):
    return entries.correction({**fish(TAKEN), "entry_id": str(FISH[which].entry_id)}, **more)


def withdraw(which):
    return entries.withdrawal(fish() | {"entry_id": str(FISH[which].entry_id)})


def trip(**more):
    return entries.party(**more)


def change(**more):
    return {**entries.party(TRIP, **more), "kind": "party_changed"}
