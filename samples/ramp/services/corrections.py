"""Corrections, withdrawals and shifts. What they replace stays in the history."""

from uuid import UUID

from samples.models import (
    WITHOUT_AN_OTOLITH,
    Fish,
    HeldEntry,
    Kind,
    Party,
    Vial,
    refresh_progress,
)
from samples.ramp.entry import Correction, Shift, Withdrawal
from samples.ramp.services.answers import Held, Refused
from samples.ramp.services.batch import Batch, lock_vials, number_after, number_said
from samples.ramp.services.fish import (
    OUT_OF_USE,
    ask,
    facts_columns,
    free_vial,
    species_at,
    use_vials,
    vial_for,
)
from samples.ramp.services.parties import own_party, withdraw_count
from samples.rules import vial_number


def fish_said(about_entry_id: UUID, batch: Batch) -> Fish:
    """Find the fish that an entry is about, if it may still be changed from the ramp.

    :raises Held: if it never arrived, was withdrawn, or its vial is at the office
    """
    # Not in one query with its vial: a lock does not reach over an outer join.
    fish = (
        Fish.objects.select_for_update()
        .filter(entry_id=about_entry_id, logged_by=batch.by, lake_id__in=batch.may_log)
        .first()
    )
    if fish is None:
        raise Held("unknown_fish")
    if fish.withdrawn:
        raise Held("withdrawn")
    if fish.vial is not None:
        fish.vial = lock_vials([fish.vial.number])[fish.vial.number]
        if fish.vial.received_at is not None:
            raise Held("already_received")
    return fish


def correct_fish(entry: Correction, batch: Batch) -> Fish:
    """Write a fish down anew, in another vial if that was wrong.

    :raises Refused: as for a new fish
    :raises Held: if the vial is another fish's, or this one may no longer be changed
    """
    return apply_correction(fish_said(entry.about_entry_id, batch), entry, batch)


def apply_correction(fish: Fish, entry: Correction, batch: Batch) -> Fish:
    """Write what was said over the fish; the history keeps what stood there."""
    kind = species_at(fish.party, entry.fish, batch)
    ask(entry.fish, kind)
    vial = vial_for(entry.fish, fish.party, batch, own=fish)
    before = fish.vial
    for name, value in facts_columns(entry.fish, kind).items():
        setattr(fish, name, value)
    fish.vial = vial
    fish.save()
    if before is not None and before != vial:
        free_vial(before, batch)
    if vial is not None and before != vial:
        batch.hold_vial(vial, fish.entry_id)
        use_vials([vial], batch)
    refresh_progress([fish.pk])
    return fish


def withdraw(entry: Withdrawal, batch: Batch) -> Fish | Party:
    """Take a fish back, or a count of unmeasured ones. Its row stays, marked; a vial is free."""
    counted = withdraw_count(entry, batch)
    if counted is not None:
        return counted
    return apply_withdrawal(fish_said(entry.about_entry_id, batch), batch)


def apply_withdrawal(fish: Fish, batch: Batch) -> Fish:
    """Mark a fish as taken back and let its vial go."""
    vial = fish.vial
    fish.vial, fish.withdrawn = None, True
    fish.save()
    if vial is not None:
        free_vial(vial, batch)
    refresh_progress([fish.pk])
    return fish


def shift_vials(entry: Shift, batch: Batch) -> list[Fish]:
    """Move every fish of the party, from one vial on, to the vial ``by`` numbers on.

    :raises Refused: whole, if any vial it would need is not there, not free or received
    """
    party = own_party(entry, batch)
    start = number_said(entry.from_vial)
    fish = list(
        Fish.objects.filter(party=party, vial__isnull=False)
        .select_related("vial")
        .order_by("vial__number")
    )
    # Numbers of one season have one width, so their order as text is that of the sequence.
    moved = [one for one in fish if start is not None and _vial(one).number >= start]
    if not moved or _vial(moved[0]).number != start:
        raise Refused("unknown_vial", {"from_vial": [_why_not_from(start, party)]})
    wanted = {}
    for one in moved:
        number = number_after(_vial(one).number, entry.by)
        if number is None:
            raise Refused("shift_blocked", {"from_vial": ["The numbers of the year end there."]})
        wanted[one.pk] = number
    vials = lock_vials([*wanted.values(), *(_vial(one).number for one in moved)])
    _refuse_unless_free(moved, wanted, vials, party.lake_id)
    left = [_vial(one) for one in moved]
    for one in moved:
        one.vial = None
    # All of them let go first: a vial cannot hold two fish even for a moment.
    Fish.objects.filter(pk__in=wanted).update(vial=None)
    for one in moved:
        one.vial = vials[wanted[one.pk]]
        one.save()
    _settle_states(left, moved, batch)
    refresh_progress(wanted)
    return moved


def _why_not_from(start: str | None, party: Party) -> str:
    held = party.held_entries.filter(kind=Kind.FISH, state=HeldEntry.State.OPEN)
    if start and start in {number_said(str(one.said.get("vial", ""))) for one in held}:
        words = vial_number.grouped(start)
        return f"The office is checking the fish in {words}. Start from a later fish."
    return "No fish of this trip is in that vial."


def _vial(fish: Fish) -> Vial:
    if fish.vial is None:
        raise ValueError(f"{fish} has no vial")
    return fish.vial


def _refuse_unless_free(
    moved: list[Fish], wanted: dict[int, str], vials: dict[str, Vial], lake_id: int
) -> None:
    moving = set(wanted)
    holders = dict(
        Fish.objects.filter(vial__number__in=wanted.values()).values_list("vial__number", "pk")
    )
    for one in moved:
        number = wanted[one.pk]
        vial = vials.get(number)
        words = vial_number.grouped(number)
        if vial is None or vial.lake_id != lake_id or vial.state in OUT_OF_USE:
            raise Refused("shift_blocked", {"from_vial": [f"There is no vial {words} to move to."]})
        if holders.get(number, one.pk) not in moving:
            raise Refused(
                "shift_blocked",
                {"from_vial": [f"Vial {words} holds another fish, so nothing was moved."]},
            )
        if number not in holders and vial.content in WITHOUT_AN_OTOLITH:
            raise Refused(
                "shift_blocked",
                {"from_vial": [f"The office noted vial {words} as empty. Nothing was moved."]},
            )
        if _vial(one).received_at is not None:
            raise Refused(
                "already_received",
                {"from_vial": ["Some of these vials are at the office. Ask the biologist."]},
            )


def _settle_states(left: list[Vial], moved: list[Fish], batch: Batch) -> None:
    kept = {one.vial_id for one in moved}
    for vial in left:
        if vial.pk not in kept:
            free_vial(vial, batch)
    for one in moved:
        batch.hold_vial(_vial(one), one.entry_id)
    use_vials([_vial(one) for one in moved], batch)
