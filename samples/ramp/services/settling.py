"""How the office settles a held entry. What was said is kept, whatever is decided."""

from dataclasses import replace
from datetime import datetime

from samples.models import (
    OUT_OF_USE,
    WITHOUT_AN_OTOLITH,
    Fish,
    HeldEntry,
    User,
    Vial,
    atomic_with_revision,
    refresh_progress,
)
from samples.ramp.entry import Correction, FishLogged, read
from samples.ramp.entry.columns import LONGEST_VIAL_NUMBER
from samples.ramp.entry.held_words import HELD_WORDS
from samples.ramp.services.answers import Outcome
from samples.ramp.services.applying import CannotSettle, apply_correction_of, load_for
from samples.ramp.services.confirming import confirm_fish
from samples.ramp.services.decide import decide
from samples.ramp.services.load import lock_vials
from samples.ramp.services.passing import passing_means_try_later
from samples.ramp.services.vial_states import use_vials
from samples.ramp.services.write import Sender, write
from samples.rules import vial_number
from samples.rules.vial_number import read_vial

Settled = HeldEntry.Settled


@passing_means_try_later()
@atomic_with_revision()
def let_held_fish_keep_vial(
    held: HeldEntry, *, other_number: str, note: str, actor: User, now: datetime
) -> Fish:
    """Assign the vial to the fish that was held; the fish logged first gets another number.

    Without another number that fish waits, logged and without a vial.

    :raises CannotSettle: if the vial is gone or read, or the other number is not free
    """
    held = lock_open(held)
    lock_together(held, other_number)
    vial = _free_of_readings(held)
    first = Fish.objects.select_for_update().filter(vial=vial).first()
    if first is not None:
        first.vial = None
        first.save()
    fish = save_fish(held, vial.number, now=now)
    if first is not None:
        # Only now: a fish that is corrected may leave just the vial that the first one is in.
        if other_number:
            _move(first, _free_vial(held.lake_id, other_number), actor=actor, now=now)
        refresh_progress([first.pk])
    settle(held, Settled.KEEPS_VIAL, fish, note, actor=actor, now=now)
    return fish


@passing_means_try_later()
@atomic_with_revision()
def let_both_wait(held: HeldEntry, *, note: str, actor: User, now: datetime) -> Fish:
    """Take the vial from the fish logged first and give it to neither, until it was looked into.

    Both are logged and wait for a vial. The number stays used: nobody else may take it.

    :raises CannotSettle: if the vial is gone or read
    """
    held = lock_open(held)
    vial = _free_of_readings(held)
    first = Fish.objects.select_for_update().filter(vial=vial).first()
    if first is not None:
        first.vial = None
        first.save()
        refresh_progress([first.pk])
    fish = log_fish(held, "", now=now)
    settle(held, Settled.BOTH_WAIT, fish, note, actor=actor, now=now)
    return fish


@passing_means_try_later()
@atomic_with_revision()
def give_other_number(
    held: HeldEntry, *, number: str, note: str, actor: User, now: datetime, confirmed: bool = False
) -> Fish:
    """Log or correct the held fish with another vial than it said.

    :raises CannotSettle: if that vial is not there, or holds another fish
    """
    held = lock_open(held)
    lock_together(held, number)
    vial = _free_vial(held.lake_id, number, own=_fish_about(held))
    fish = save_fish(held, vial.number, now=now, confirmed=confirmed)
    settle(held, Settled.OTHER_NUMBER, fish, note, actor=actor, now=now)
    return fish


@passing_means_try_later()
@atomic_with_revision()
def assign_vial(fish: Fish, *, number: str, actor: User, now: datetime) -> Fish:
    """Assign to a fish that waits for a vial the one that its otoliths are in.

    :raises CannotSettle: if it does not wait any more, or that vial is not free
    """
    # Vials before fish, as a phone's batch does: the two never wait for each other in a ring.
    vial = _free_vial(fish.lake_id, number)
    fish = Fish.objects.select_for_update().get(pk=fish.pk)
    if fish.vial_id is not None or fish.withdrawn:
        raise CannotSettle("settled", "This fish no longer waits for a vial.")
    _move(fish, vial, actor=actor, now=now)
    refresh_progress([fish.pk])
    return fish


@passing_means_try_later()
@atomic_with_revision()
def set_aside(held: HeldEntry, *, note: str, actor: User, now: datetime) -> HeldEntry:
    """Settle an entry without a fish, with a note of why; its words stay to be read.

    :raises CannotSettle: without a note
    """
    held = lock_open(held)
    if not note.strip():
        raise CannotSettle("no_note", "Enter why this entry is voided.", "note")
    settle(held, Settled.SET_ASIDE, None, note, actor=actor, now=now)
    return held


def lock_open(held: HeldEntry) -> HeldEntry:
    """Lock an entry that is still to be resolved.

    :raises CannotSettle: if somebody resolved it in the meantime
    """
    row = HeldEntry.objects.select_for_update().get(pk=held.pk)
    if row.state != HeldEntry.State.OPEN:
        raise CannotSettle("settled", "Somebody resolved this entry in the meantime.")
    return row


def lock_together(held: HeldEntry, other_number: str = "") -> None:
    """Lock every vial at stake in the order of their ids, as a phone's batch does.

    So no two wait for each other in a ring.
    """
    about = _fish_about(held)
    left = about.vial.number if about is not None and about.vial is not None else None
    numbers = [held.vial.number if held.vial else None, read_vial(other_number).number, left]
    lock_vials([number for number in numbers if number])


def _fish_about(held: HeldEntry) -> Fish | None:
    """Find the fish on record that a held correction is about."""
    entry = read(held.payload)
    if not isinstance(entry, Correction):
        return None
    return Fish.objects.filter(entry_id=entry.about_entry_id).select_related("vial").first()


def _free_of_readings(held: HeldEntry) -> Vial:
    if held.vial is None:
        raise CannotSettle("no_vial", "No vial of this lake has that number. Give another one.")
    vial = lock_vials([held.vial.number])[held.vial.number]
    if vial.readings.exists():
        raise CannotSettle(
            "read",
            "This vial was read for the fish logged first. Give the held fish another number, "
            "or ask the biologist.",
        )
    if vial.state in OUT_OF_USE:
        raise CannotSettle("void_vial", "This vial is void or lost. Give another number.")
    return vial


def _free_vial(lake_id: int | None, text: str, *, own: Fish | None = None) -> Vial:
    try:
        number = vial_number.parse(text).number
    except vial_number.VialNumberRefused as problem:
        raise CannotSettle(problem.code, problem.sentence) from problem
    vial = lock_vials([number]).get(number)
    words = vial_number.grouped(number)
    if vial is None or vial.lake_id != lake_id:
        raise CannotSettle("unknown_vial", f"This lake has no vial {words}. Enter another number.")
    if vial.state in OUT_OF_USE:
        raise CannotSettle("void_vial", f"Vial {words} is void or lost. Give another number.")
    holder = Fish.objects.filter(vial=vial).first()
    if holder is not None and holder != own:
        raise CannotSettle("vial_taken", f"Vial {words} holds a fish. Enter a free number.")
    if holder is None and vial.content in WITHOUT_AN_OTOLITH:
        raise CannotSettle(
            "no_otolith",
            f"The office received vial {words} without otoliths of one fish. If that is wrong, "
            "receive it again with what is inside, then enter this number.",
        )
    return vial


def _move(fish: Fish, vial: Vial, *, actor: User, now: datetime) -> None:
    fish.vial = vial
    fish.save()
    use_vials([vial], actor=actor, now=now)


def save_fish(held: HeldEntry, number: str, *, now: datetime, confirmed: bool = False) -> Fish:
    """Log the held fish in this vial; where it corrects one on record, correct that one."""
    entry = read({**held.payload, "vial": number})
    if isinstance(entry, Correction) and _fish_about(held) is not None:
        return apply_correction_of(held, entry, now=now, confirmed=confirmed)
    return log_fish(held, number, now=now, confirmed=confirmed)


def log_fish(held: HeldEntry, number: str, *, now: datetime, confirmed: bool = False) -> Fish:
    """Log the fish as its sender said it, but for the vial; the sender stays its logger.

    ``confirmed`` says that somebody looked at what is unlikely of it, and that it is right.
    """
    payload = dict(held.payload)
    entry = read(payload | {"vial": number})
    if isinstance(entry, Correction):
        entry = _fish_of_correction(entry)
    if not isinstance(entry, FishLogged):
        raise CannotSettle("not_a_fish", "This entry is not a new fish. Void it instead.", "note")
    known, rows = load_for(held, entry, now=now)
    if confirmed:
        entry = confirm_fish(entry, entry.party_id, known)
    decision, _ = decide(entry, replace(known, held={}))
    answer = decision.answer
    if answer.outcome not in {Outcome.LOGGED, Outcome.ALREADY_LOGGED}:
        why = answer.message or HELD_WORDS.get(
            answer.reason, "It does not match what is on record."
        )
        raise CannotSettle(answer.reason, f"{why} Void the entry if it is not a fish.")
    write([decision], rows, Sender(held.said_by, now, held.phone))
    fish = Fish.objects.select_related("vial").get(entry_id=entry.entry_id)
    # Received when it first came, not when it was settled; and known by what was written.
    fish.received_at, fish.fingerprint = held.received_at, held.fingerprint
    fish.vial_number_said = str(payload.get("vial", ""))[:LONGEST_VIAL_NUMBER]
    fish.save()
    refresh_progress([fish.pk])
    return fish


def _fish_of_correction(entry: Correction) -> FishLogged:
    """Return the fish that a correction describes whole, where the fish itself never came."""
    return FishLogged(
        entry_id=entry.about_entry_id,
        party_id=entry.party_id,
        written_at=entry.written_at,
        payload=entry.payload,
        fish=entry.fish,
    )


def settle(
    held: HeldEntry, how: str, fish: Fish | None, note: str, *, actor: User, now: datetime
) -> None:
    """Note how an entry was resolved, by whom and when."""
    held.state, held.settled_how, held.fish = HeldEntry.State.SETTLED, how, fish
    held.settled_by, held.settled_at, held.note = actor, now, note.strip()
    held.save()
