"""Writes what was decided, set by set: what follows in one kind is written together."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any
from uuid import UUID

from simple_history.utils import bulk_update_with_history

from samples.models import Entry as EntryRow
from samples.models import (
    Fish,
    HeldEntry,
    Party,
    Phone,
    UnmeasuredCount,
    User,
    Vial,
    progress_of,
    refresh_progress,
)
from samples.ramp.entry import Entry
from samples.ramp.entry.columns import fish_columns, plain_columns
from samples.ramp.services import changes
from samples.ramp.services.changes import Change, Decision
from samples.ramp.services.donors import named_donor
from samples.ramp.services.load import Rows
from samples.ramp.services.vial_states import release_vials, use_vials


@dataclass(frozen=True, slots=True)
class Sender:
    """Whose entries are written, from which phone, when; and who typed them in for them."""

    author: User
    now: datetime
    phone: Phone | None = None
    typed_by: User | None = None

    @property
    def actor(self) -> User:
        """Return whoever stands in the history: who sent it, or who typed it in for them."""
        return self.typed_by or self.author


def write(decisions: Iterable[Decision], rows: Rows, sender: Sender) -> None:
    """Write what was decided, in its order."""
    writer = Writer(rows, sender)
    every = (change for decision in decisions for change in decision.changes)
    for kind, run in groupby(every, key=type):
        writer.write(kind, list(run))


class Writer:
    """Writes changes over the rows that were locked for them."""

    def __init__(self, rows: Rows, sender: Sender) -> None:
        self.vials = rows.vials
        self.trips = dict(rows.trips)
        self.donors: dict[UUID, int] = {}
        self.sender = sender
        self.author, self.now = sender.author, sender.now
        self.history = {"default_user": sender.actor, "default_date": sender.now}

    def write(self, kind: type[Change], run: Sequence[Any]) -> None:
        """Write changes of one kind that follow one another: fish as a set, others in turn."""
        if kind is changes.LogFish:
            self.log_fish(run)
            return
        one_by_one: dict[type[Change], Callable[[Any], None]] = {
            changes.CorrectFish: self.correct_fish,
            changes.WithdrawFish: self.withdraw_fish,
            changes.WithdrawCount: self.withdraw_count,
            changes.MoveFish: self.move_fish,
            changes.OpenTrip: self.open_trip,
            changes.ChangeTrip: self.change_trip,
            changes.CloseTrip: self.close_trip,
            changes.CountFish: self.count_fish,
            changes.KeepEntry: self.keep_entry,
            changes.HoldEntry: self.hold_entry,
        }
        for change in run:
            one_by_one[kind](change)

    # ---------- Fish ----------

    def log_fish(self, run: Sequence[changes.LogFish]) -> None:
        """Insert fish in one go, with the history of fish and vials."""
        fish = [self.fish_of(change) for change in run]
        Fish.objects.bulk_create(fish)
        Fish.history.bulk_history_create(fish, **self.history)
        self.use_vials([one.vial for one in fish if one.vial is not None])

    def fish_of(self, change: changes.LogFish) -> Fish:
        trip, vial = change.trip, self.vial_of(change.fish.vial)
        return Fish(
            entry_id=change.fish.entry_id,
            fingerprint=change.fish.fingerprint,
            logged_by=self.author,
            phone=self.sender.phone,
            logged_at=change.entry.written_at,
            received_at=self.now,
            party_id=self.trips[trip.party_id],
            leg=trip.leg,
            lake_id=trip.lake,
            season_id=trip.season,
            arm_id=trip.arm,
            reach_id=trip.reach,
            donor_id=self.donors.get(trip.party_id, trip.donor),
            method=trip.method,
            caught_on=trip.caught_on,
            species_id=change.species,
            **fish_columns(change.entry.fish),
            vial=vial,
            progress=progress_of(vial),
        )

    def correct_fish(self, change: changes.CorrectFish) -> None:
        """Write the facts over the fish; the history keeps what stood there."""
        fish = _fish(change.entry.about_entry_id)
        before, vial = self.vial_in(fish), self.vial_of(change.vial)
        for name, value in fish_columns(change.entry.fish).items():
            setattr(fish, name, value)
        fish.species_id, fish.vial = change.species, vial
        fish.save()
        if before != vial:
            release_vials([before] if before is not None else [])
            self.use_vials([vial] if vial is not None else [])
        refresh_progress([fish.pk])

    def withdraw_fish(self, change: changes.WithdrawFish) -> None:
        """Mark a fish as withdrawn and release its vial."""
        fish = _fish(change.entry_id)
        before = self.vial_in(fish)
        fish.vial, fish.withdrawn = None, True
        fish.save()
        release_vials([before] if before is not None else [])
        refresh_progress([fish.pk])

    def move_fish(self, change: changes.MoveFish) -> None:
        """Move fish to other vials; all leave theirs first, for a vial never holds two."""
        rows = Fish.objects.filter(entry_id__in=change.numbers).select_related("vial")
        fish = sorted(rows, key=lambda one: change.numbers[one.entry_id])
        left = [vial for one in fish if (vial := self.vial_in(one)) is not None]
        Fish.objects.filter(pk__in=[one.pk for one in fish]).update(vial=None)
        for one in fish:
            one.vial = self.vials[change.numbers[one.entry_id]]
            one.save()
        filled = [one.vial for one in fish if one.vial is not None]
        release_vials([vial for vial in left if vial not in filled])
        self.use_vials(filled)
        refresh_progress([one.pk for one in fish])

    # ---------- Vials ----------

    def vial_of(self, number: str | None) -> Vial | None:
        return self.vials[number] if number is not None else None

    def vial_in(self, fish: Fish) -> Vial | None:
        """Return the row of a fish's vial that was locked, so that its state is known here."""
        return self.vials[fish.vial.number] if fish.vial is not None else None

    def use_vials(self, vials: Sequence[Vial]) -> None:
        use_vials(vials, actor=self.sender.actor, now=self.now)

    # ---------- Trips ----------

    def open_trip(self, change: changes.OpenTrip) -> None:
        """Insert a trip. What came before it waits without one; now its office is known."""
        entry, trip = change.entry, change.trip
        if trip.new_donor:
            self.donors[trip.party_id] = named_donor(trip.lake, trip.new_donor).pk
        party = Party(
            party_id=entry.party_id,
            fingerprint=entry.fingerprint(),
            lake_id=trip.lake,
            season_id=trip.season,
            arm_id=trip.arm,
            reach_id=trip.reach,
            donor_id=self.donors.get(trip.party_id, trip.donor),
            interview_key=entry.interview_key,
            slip_answers=sorted(entry.confirmed),
            opened_by=self.author,
            phone=self.sender.phone,
            opened_at=entry.written_at,
            received_at=self.now,
            **plain_columns(entry.party),
        )
        party.save()
        self.trips[entry.party_id] = party.pk
        HeldEntry.objects.filter(
            said_by=self.author, party__isnull=True, said__party_id=str(entry.party_id)
        ).update(party=party, lake=trip.lake)

    def change_trip(self, change: changes.ChangeTrip) -> None:
        """Write a trip down anew, and keep the columns true that its fish repeat."""
        entry, trip = change.entry, change.trip
        party = Party.objects.get(pk=self.trips[trip.party_id])
        party.leg, party.season_id = trip.leg, trip.season
        party.arm_id, party.reach_id = trip.arm, trip.reach
        if entry.reopens:
            party.closed_at, party.count_in_hand, party.last_number_said = None, None, ""
        for name, value in plain_columns(entry.party).items():
            setattr(party, name, value)
        party.save()
        fish = list(Fish.objects.filter(party=party))
        for one in fish:
            one.method, one.caught_on = party.method, party.caught_on
            one.season_id = party.season_id
            if not entry.moved and one.leg == party.leg:
                one.arm_id, one.reach_id = party.arm_id, party.reach_id
        if fish:
            names = ["method", "caught_on", "season", "arm", "reach"]
            bulk_update_with_history(fish, Fish, names, **self.history)

    def close_trip(self, change: changes.CloseTrip) -> None:
        party = Party.objects.get(pk=self.trips[change.entry.party_id])
        # By the phone's clock; when it reached us stands beside the entry itself.
        party.closed_at = change.entry.written_at
        party.count_in_hand = change.entry.count_in_hand
        party.last_number_said = change.entry.last_number
        party.save()

    def count_fish(self, change: changes.CountFish) -> None:
        UnmeasuredCount.objects.create(
            entry_id=change.entry.entry_id,
            party_id=self.trips[change.entry.party_id],
            species_id=change.species,
            count=change.entry.count,
            logged_by=self.author,
            logged_at=change.entry.written_at,
            received_at=self.now,
        )

    def withdraw_count(self, change: changes.WithdrawCount) -> None:
        counted = UnmeasuredCount.objects.get(entry_id=change.entry_id)
        counted.withdrawn = True
        counted.save()

    # ---------- Entries ----------

    def keep_entry(self, change: changes.KeepEntry) -> None:
        entry = change.entry
        EntryRow.objects.create(
            entry_id=entry.entry_id,
            kind=entry.kind,
            fingerprint=entry.fingerprint(),
            said=payload_to_keep(entry, change.lake),
            party_id=self.trips[change.party_id] if change.party_id is not None else None,
            fish=_fish(change.fish) if change.fish is not None else None,
            said_by=self.author,
            phone=self.sender.phone,
            said_at=entry.written_at,
            received_at=self.now,
        )

    def hold_entry(self, change: changes.HoldEntry) -> None:
        """Keep an entry until somebody settles it; holding it twice is once."""
        entry = change.entry
        HeldEntry.objects.get_or_create(
            entry_id=entry.entry_id,
            fingerprint=entry.fingerprint(),
            defaults={
                "kind": entry.kind,
                "said": payload_to_keep(entry, change.lake),
                "reason": change.reason,
                "lake_id": change.lake,
                "party_id": self.trips[change.party_id] if change.party_id is not None else None,
                "vial": self.vial_of(change.vial),
                "said_by": self.author,
                "phone": self.sender.phone,
                "said_at": entry.written_at,
                "received_at": self.now,
            },
        )


def payload_to_keep(entry: Entry, lake: int | None) -> dict[str, Any]:
    """Return the payload of an entry as it is kept: all of it, but for a donor's name.

    The name stands in the donor's row alone, so that it can be taken out; the payload says
    which row that is.
    """
    kept = dict(entry.payload)
    name = kept.pop("donor_name", "")
    if name and lake is not None:
        kept["donor"] = named_donor(lake, str(name)[:80]).pk
    return kept


def _fish(entry_id: UUID) -> Fish:
    return Fish.objects.select_related("vial").get(entry_id=entry_id)
