"""Decisions on fish: logged, corrected, deleted, and moved from vial to vial."""

from uuid import UUID

from samples.models.fish import LEAST_LENGTH_HUNDREDTHS_MM, MOST_LENGTH_HUNDREDTHS_MM
from samples.ramp import queries
from samples.ramp.entry import Correction, FishFacts, FishLogged, Shift, Withdrawal
from samples.ramp.services.answers import Held, Refused
from samples.ramp.services.changes import (
    Change,
    CorrectFish,
    KeepEntry,
    LogFish,
    MoveFish,
    WithdrawCount,
    WithdrawFish,
)
from samples.ramp.services.decide_trip import own_trip
from samples.ramp.services.known import Known, KnownFish, KnownSpecies, KnownTrip
from samples.rules import vial_number

Changed = tuple[tuple[Change, ...], Known]

NO_OTOLITH = "no_otolith"


def log_fish(entry: FishLogged, known: Known) -> Changed:
    """Log a fish of a trip of the author's."""
    trip = own_trip(entry, known)
    species = species_of(entry.fish, trip.lake, known)
    ask(entry.fish, species)
    vial = vial_of(entry.fish, trip.lake, known)
    fish = KnownFish(
        entry_id=entry.entry_id,
        fingerprint=entry.fingerprint(),
        party_id=trip.party_id,
        lake=trip.lake,
        vial=vial,
    )
    return (LogFish(entry, fish, trip, species.pk),), known.with_fish(fish)


def species_of(facts: FishFacts, lake: int, known: Known) -> KnownSpecies:
    """Return the species of a fish, from the list of its lake.

    :raises Refused: if it is not on the list
    """
    here = known.lakes.get(lake)
    species = here.species.get(facts.species) if here is not None else None
    if species is None:
        sentence = f"{facts.species} is not on this lake's list."
        raise Refused("unknown_species", {"species": [sentence]})
    return species


def ask(facts: FishFacts, species: KnownSpecies) -> None:
    """Ask about what looks like a slip and was not confirmed.

    :raises Refused: with the question beside its field, or if no fish has such a length
    """
    open_questions = queries.questions_about(facts, species)
    if open_questions:
        raise Refused(
            "needs_answer", {question.field: [question.sentence] for question in open_questions}
        )
    if not LEAST_LENGTH_HUNDREDTHS_MM <= facts.length.hundredths_mm <= MOST_LENGTH_HUNDREDTHS_MM:
        sentence = "Lengths run from 5 mm to 5 m. Measure again."
        raise Refused("impossible_length", {"length": [sentence]})


def vial_of(
    facts: FishFacts, lake: int, known: Known, *, own: KnownFish | None = None
) -> str | None:
    """Return the number of the vial, if this fish may have it; None for a fish only measured.

    ``own`` is the fish that is corrected.

    :raises Refused: if the number can be put right where it was typed
    :raises Held: if only the office can say
    """
    if not facts.vial:
        here = known.lakes.get(lake)
        if here is not None and here.for_others:
            return None
        raise Refused("no_vial", {"vial": ["Enter the number on the vial's label."]})
    if (problem := facts.vial.problem) is not None:
        _raise_problem_of_number(problem, facts)
    vial = known.vials.get(facts.vial.number or "")
    if vial is None:
        raise Held("unknown_vial")
    if vial.lake != lake:
        raise Held("other_lake")
    holder = known.holders.get(vial.number)
    if holder is not None and (own is None or holder != own.entry_id):
        raise Held("vial_taken")
    if vial.is_out_of_use:
        raise Held("void_vial")
    if holder is None and vial.is_without_otolith and NO_OTOLITH not in facts.confirmed:
        raise Held(NO_OTOLITH)
    return vial.number


def _raise_problem_of_number(problem: vial_number.VialNumberRefused, facts: FishFacts) -> None:
    if not isinstance(problem, vial_number.WrongCheckDigit):
        raise Refused(problem.code, {"vial": [problem.sentence]})
    if problem.code in facts.confirmed:
        raise Held("wrong_check_digit")
    raise Refused("needs_answer", {"vial": [problem.sentence]})


# ---------- Changes to a fish ----------


def fish_to_change(entry_id: UUID, known: Known) -> KnownFish:
    """Return the fish that an entry is about, if it may still be changed from the ramp.

    An office that applies what was held has looked at the fish itself.

    :raises Held: if it never arrived, was withdrawn, or its vial is at the office
    """
    fish = known.fish.get(entry_id)
    if fish is None or not fish.is_own:
        raise Held("unknown_fish")
    if fish.is_withdrawn:
        raise Held("withdrawn")
    if fish.vial is not None and not known.is_resolved and known.vials[fish.vial].is_received:
        raise Held("already_received")
    return fish


def correct_fish(entry: Correction, known: Known) -> Changed:
    """Write a fish down anew, in another vial if that was wrong."""
    fish = fish_to_change(entry.about_entry_id, known)
    species = species_of(entry.fish, fish.lake, known)
    ask(entry.fish, species)
    vial = vial_of(entry.fish, fish.lake, known, own=fish)
    after = known.with_fish(_in_vial(fish, vial)).with_entry(entry.entry_id, entry.fingerprint())
    keep = _keep(entry, known, fish=fish.entry_id)
    return (CorrectFish(entry, species.pk, vial), keep), after


def withdraw(entry: Withdrawal, known: Known) -> Changed:
    """Delete a fish, or a count of unmeasured ones. Its row stays, marked; a vial is free."""
    after = known.with_entry(entry.entry_id, entry.fingerprint())
    counted = known.counts.get(entry.about_entry_id)
    if counted is not None:
        lake = known.trips[counted.party_id].lake if counted.party_id in known.trips else None
        keep = KeepEntry(entry, counted.party_id, lake)
        return (WithdrawCount(counted.entry_id), keep), after
    fish = fish_to_change(entry.about_entry_id, known)
    gone = KnownFish(
        entry_id=fish.entry_id,
        fingerprint=fish.fingerprint,
        party_id=fish.party_id,
        lake=fish.lake,
        is_withdrawn=True,
    )
    keep = _keep(entry, known, fish=fish.entry_id)
    return (WithdrawFish(fish.entry_id), keep), after.with_fish(gone)


def move_fish(entry: Shift, known: Known) -> Changed:
    """Move every fish of the trip, from one vial on, as many vials on as the entry says.

    :raises Refused: whole, if any vial it would need is not there, not free or received
    """
    trip = own_trip(entry, known)
    start = entry.from_vial.number or ""
    of_trip = [one for one in known.fish.values() if one.party_id == trip.party_id and one.vial]
    # Numbers of one season have one width, so their order as text is that of the sequence.
    moved = sorted((n, one) for one in of_trip if (n := one.vial or "") >= start) if start else []
    if not moved or moved[0][0] != start:
        raise Refused("unknown_vial", {"from_vial": [_why_not_from(start, trip, known)]})
    numbers = {one.entry_id: _number_after(number, entry.offset) for number, one in moved}
    for number, one in moved:
        _refuse_unless_free(numbers[one.entry_id], number, numbers, trip, known)
    after = known.with_fish(*(_in_vial(one, numbers[one.entry_id]) for _, one in moved))
    changes = (MoveFish(numbers), _keep(entry, known))
    return changes, after.with_entry(entry.entry_id, entry.fingerprint())


def _why_not_from(start: str, trip: KnownTrip, known: Known) -> str:
    if (trip.party_id, start) in known.held_vials:
        printed = vial_number.grouped(start)
        return f"The office is checking the fish in {printed}. Start from a later fish."
    return "No fish of this trip is in that vial."


def _number_after(number: str, offset: int) -> str:
    after = vial_number.number_after(number, offset)
    if after is None:
        raise Refused(
            "shift_blocked", {"from_vial": ["No vial numbers beyond that one this year."]}
        )
    return after


def _refuse_unless_free(
    number: str, before: str, moving: dict[UUID, str], trip: KnownTrip, known: Known
) -> None:
    vial = known.vials.get(number)
    printed = vial_number.grouped(number)
    if vial is None or vial.lake != trip.lake or vial.is_out_of_use:
        sentence = f"There is no vial {printed} to move to."
        raise Refused("shift_blocked", {"from_vial": [sentence]})
    holder = known.holders.get(number)
    if holder is not None and holder not in moving:
        sentence = f"Vial {printed} holds another fish, so nothing was moved."
        raise Refused("shift_blocked", {"from_vial": [sentence]})
    if holder is None and vial.is_without_otolith:
        sentence = f"The office received vial {printed} empty. Nothing was moved."
        raise Refused("shift_blocked", {"from_vial": [sentence]})
    if known.vials[before].is_received:
        sentence = "Some of these vials are at the office. Ask the biologist."
        raise Refused("already_received", {"from_vial": [sentence]})


def _in_vial(fish: KnownFish, vial: str | None) -> KnownFish:
    return KnownFish(
        entry_id=fish.entry_id,
        fingerprint=fish.fingerprint,
        party_id=fish.party_id,
        lake=fish.lake,
        vial=vial,
    )


def _keep(
    entry: Correction | Withdrawal | Shift, known: Known, *, fish: UUID | None = None
) -> KeepEntry:
    trip = known.trips.get(entry.party_id)
    return KeepEntry(
        entry,
        party_id=entry.party_id if trip is not None else None,
        lake=trip.lake if trip is not None else None,
        fish=fish,
    )
