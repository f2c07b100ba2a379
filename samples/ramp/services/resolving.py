"""How the office brings entries to a good end that lack something: a trip, an answer, a vial."""

from dataclasses import replace
from datetime import date, datetime
from uuid import NAMESPACE_URL, UUID, uuid5

from django.db import transaction

from samples.models import (
    OUT_OF_USE,
    Arm,
    Donor,
    Fish,
    HeldEntry,
    HowChosen,
    Party,
    User,
    Vial,
    atomic_with_revision,
    refresh_progress,
    state_before,
)
from samples.models.signing import save_signed
from samples.ramp.entry import (
    Correction,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
    read,
)
from samples.ramp.queries import season_for
from samples.ramp.services.applying import (
    CannotSettle,
    apply_correction_of,
    apply_to_party,
    apply_withdrawal_of,
)
from samples.ramp.services.load import lock_vials
from samples.ramp.services.passing import passing_means_try_later
from samples.ramp.services.settling import (
    Settled,
    lock_open,
    lock_together,
    log_fish,
    save_fish,
    settle,
)


@passing_means_try_later()
@atomic_with_revision()
def give_trip(
    held: HeldEntry,
    *,
    arm: Arm,
    caught_on: date,
    method: str,
    note: str,
    actor: User,
    now: datetime,
    confirmed: bool = False,
) -> list[Fish]:
    """Log the fish of a trip that never came, with the arm, day and method the office found.

    The trip is opened under the id that the phone gave it: its other fish that wait are logged
    too where nothing else is wrong with them, and those still to come follow by themselves. If
    its own entry comes after all, that one is held and can be applied over this.

    :raises CannotSettle: if the lake has no season then, or the fish cannot be logged
    """
    held = lock_open(held)
    entry = read(held.payload)
    season = season_for(arm.lake, caught_on)
    if season is None:
        raise CannotSettle("no_season", f"{arm.lake} has no season yet. Add one.", "caught_on")
    party, _ = Party.objects.get_or_create(
        party_id=entry.party_id,
        defaults={
            "fingerprint": "",
            "lake": arm.lake,
            "season": season,
            "arm": arm,
            "caught_on": caught_on,
            "method": method,
            "how_chosen": HowChosen.NOT_KNOWN,
            "donor": Donor.objects.filter(lake=arm.lake, person=held.said_by).first(),
            "opened_by": held.said_by,
            "phone": held.phone,
            "opened_at": held.said_at,
            "received_at": now,
        },
    )
    if party.lake_id != held.lake_id or party.opened_by_id != held.said_by_id:
        raise CannotSettle(
            "other_lake", "The trip changed in the meantime. Reload the page.", "arm"
        )
    HeldEntry.objects.filter(
        said_by=held.said_by, party__isnull=True, said__party_id=str(entry.party_id)
    ).update(party=party, lake=arm.lake)
    held.party = party
    fish = log_fish(held, str(held.payload.get("vial", "")), now=now, confirmed=confirmed)
    settle(held, Settled.TRIP_GIVEN, fish, note, actor=actor, now=now)
    return [fish, *_fish_that_waited_along(party, note, actor=actor, now=now)]


def _fish_that_waited_along(party: Party, note: str, *, actor: User, now: datetime) -> list[Fish]:
    rest = HeldEntry.objects.select_for_update().filter(
        party=party,
        kind=FishLogged.kind,
        reason="unknown_party",
        state=HeldEntry.State.OPEN,
    )
    logged = []
    for held in rest.order_by("said_at", "pk"):
        try:
            with transaction.atomic():
                fish = log_fish(held, str(held.payload.get("vial", "")), now=now)
                settle(held, Settled.TRIP_GIVEN, fish, note, actor=actor, now=now)
        except CannotSettle:
            continue  # it waits on, with what is wrong with it
        logged.append(fish)
    return logged


@passing_means_try_later()
@atomic_with_revision()
def save_as_written(held: HeldEntry, *, note: str, actor: User, now: datetime) -> Fish:
    """Log or correct a held fish as it was written: what looked unlikely is right.

    :raises CannotSettle: if its vial is not free, or its trip is not here
    """
    held = lock_open(held)
    fish = save_fish(held, str(held.payload.get("vial", "")), now=now, confirmed=True)
    settle(held, Settled.TAKEN_IN, fish, note, actor=actor, now=now)
    return fish


@passing_means_try_later()
@atomic_with_revision()
def apply_as_written(held: HeldEntry, *, note: str, actor: User, now: datetime) -> Fish | None:
    """Apply what was said of a trip, or of a fish that is here by now, as it was said.

    Whoever applies it looked at what is unlikely of it. Fish that waited for their trip are
    logged with it.

    :raises CannotSettle: if it is a new fish, or what it speaks of is not to be had
    """
    held = lock_open(held)
    entry = read(held.payload)
    fish = None
    if isinstance(entry, FishLogged):
        raise CannotSettle("not_a_correction", "Only a change can be applied as written.")
    if isinstance(entry, Correction):
        fish = apply_correction_of(held, entry, now=now, confirmed=True)
    elif isinstance(entry, Withdrawal):
        fish = apply_withdrawal_of(held, entry, now=now)
    elif isinstance(entry, PartyOpened):
        party = _open_or_change_trip(held, entry, now=now)
        _fish_that_waited_along(party, note, actor=actor, now=now)
    elif isinstance(entry, PartyChanged | PartyClosed | Shift | UnmeasuredCounted):
        apply_to_party(held, entry, now=now)
    settle(held, Settled.TAKEN_IN, fish, note, actor=actor, now=now)
    return fish


@passing_means_try_later()
@atomic_with_revision()
def apply_second_version(held: HeldEntry, *, note: str, actor: User, now: datetime) -> Fish | None:
    """Change a fish or a trip to what its entry said when it came a second time.

    :raises CannotSettle: if there is nothing to change, or it cannot be as written
    """
    held = lock_open(held)
    entry = read(held.payload)
    fish = None
    if isinstance(entry, PartyOpened):
        _open_or_change_trip(held, entry, now=now)
    elif isinstance(entry, PartyClosed):
        apply_to_party(held, entry, now=now)
    elif isinstance(entry, FishLogged | Correction):
        change = _correction_to(held, entry)
        fish = apply_correction_of(held, change, now=now, confirmed=True)
    else:
        raise CannotSettle("not_a_fish", "There is nothing to change. Void this entry.")
    settle(held, Settled.NEW_WORDS, fish, note, actor=actor, now=now)
    return fish


def _open_or_change_trip(held: HeldEntry, entry: PartyOpened, *, now: datetime) -> Party:
    """Open a trip that is held, or change it to this if it is here by now."""
    if Party.objects.filter(party_id=entry.party_id).exists():
        change = PartyChanged(
            entry_id=_id_of_change(held),
            party_id=entry.party_id,
            written_at=entry.written_at,
            payload=entry.payload,
            party=entry.party,
            confirmed=entry.confirmed,
        )
        apply_to_party(held, change, now=now)
    else:
        apply_to_party(held, _with_donor(held, entry), now=now)
    return Party.objects.get(party_id=entry.party_id)


def _with_donor(held: HeldEntry, entry: PartyOpened) -> PartyOpened:
    """Return the entry with its donor's name, which is kept in the donor's row alone."""
    kept = held.payload.get("donor")
    donor = Donor.objects.filter(lake=held.lake, pk=kept).first() if isinstance(kept, int) else None
    return replace(entry, donor_name=donor.name) if donor else entry


def _correction_to(held: HeldEntry, entry: FishLogged | Correction) -> Correction:
    return Correction(
        entry_id=_id_of_change(held),
        party_id=entry.party_id,
        written_at=entry.written_at,
        payload=entry.payload,
        about_entry_id=entry.about_entry_id if isinstance(entry, Correction) else entry.entry_id,
        fish=entry.fish,
    )


def _id_of_change(held: HeldEntry) -> UUID:
    return uuid5(NAMESPACE_URL, f"{held.entry_id}/{held.fingerprint}")


@passing_means_try_later()
@atomic_with_revision()
def bring_vial_back(held: HeldEntry, *, note: str, actor: User, now: datetime) -> Fish:
    """Bring a void or lost vial back into use, and log or correct the held fish in it.

    :raises CannotSettle: if the vial is not known, or holds another fish
    """
    held = lock_open(held)
    if held.vial is None:
        raise CannotSettle("no_vial", "No vial of this lake has that number.", "back_note")
    lock_together(held)
    vial = lock_vials([held.vial.number])[held.vial.number]
    if vial.state in OUT_OF_USE:
        _put_back(vial, actor=actor, now=now)
    try:
        fish = save_fish(held, vial.number, now=now, confirmed=True)
    except CannotSettle as problem:
        raise CannotSettle(problem.code, str(problem), "back_note") from problem
    settle(held, Settled.VIAL_BACK, fish, note, actor=actor, now=now)
    return fish


def _put_back(vial: Vial, *, actor: User, now: datetime) -> None:
    vial.state, vial.note = state_before(vial), ""
    save_signed(vial, actor=actor, now=now)
    refresh_progress(Fish.objects.filter(vial=vial).values_list("pk", flat=True))
