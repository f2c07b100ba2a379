"""What a batch of entries needs from the database, fetched once for all of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from samples.accounts.roles import May, lakes_where
from samples.models import Fish, HeldEntry, LakeSpecies, Party, Phone, User, Vial
from samples.ramp.entry import Correction, Entry, Shift, Withdrawal
from samples.rules import vial_number


@dataclass(slots=True)
class Batch:
    """Who sends, when, and the rows that their entries speak of.

    The vials are locked together, in the order of their ids, so that two batches never wait
    for each other in a ring; everything else is read after the lock, so that it is true.
    """

    by: User
    phone: Phone | None
    now: datetime
    vials: dict[str, Vial]
    fish: dict[UUID, Fish]
    held: dict[tuple[UUID, str], HeldEntry]
    parties: dict[UUID, Party]
    species: dict[tuple[int, str], LakeSpecies] = field(default_factory=dict)
    may_log: frozenset[int] = frozenset()
    may_log_without_vial: frozenset[int] = frozenset()
    taken: dict[int, UUID] = field(default_factory=dict)
    entered_by: User | None = None

    @property
    def signs(self) -> User:
        """Give whoever stands in the history: who sent it, or who typed it in for them."""
        return self.entered_by or self.by

    def party_of(self, party_id: UUID) -> Party | None:
        """Find a party of the sender's own at a lake where they may log."""
        if party_id not in self.parties:
            self._fetch_parties([party_id])
        return self.parties.get(party_id)

    def hold_vial(self, vial: Vial, entry_id: UUID) -> None:
        """Note, for the entries that follow, that this vial now holds that fish."""
        self.vials[vial.number] = vial
        self.taken[vial.pk] = entry_id

    def let_go(self, vial: Vial) -> None:
        """Note, for the entries that follow, that this vial is free."""
        self.vials[vial.number] = vial
        self.taken.pop(vial.pk, None)

    def _fetch_parties(self, party_ids: Iterable[UUID]) -> None:
        found = Party.objects.filter(
            party_id__in=party_ids, opened_by=self.by, lake_id__in=self.may_log
        ).select_related("lake", "season", "arm", "reach")
        self.parties.update({party.party_id: party for party in found})
        lakes = {party.lake_id for party in self.parties.values()}
        known = {lake_id for lake_id, _ in self.species}
        rows = LakeSpecies.objects.filter(lake_id__in=lakes - known).select_related("species")
        self.species.update({(row.lake_id, row.species.code): row for row in rows})


def number_said(text: str) -> str | None:
    """Read a vial number whose check digit fits, or None."""
    try:
        return vial_number.parse(text).number
    except vial_number.VialNumberRefused:
        return None


def lock_vials(numbers: Iterable[str]) -> dict[str, Vial]:
    """Lock the rows of these vials, in one order for everybody."""
    wanted = set(numbers)
    if not wanted:
        return {}
    rows = Vial.objects.select_for_update().filter(number__in=wanted).order_by("pk")
    return {vial.number: vial for vial in rows}


def lock_sender(by: User) -> None:
    """Let the batches of one person in one at a time.

    A phone that heard no answer sends again while its first sending is still at work; the
    second waits here, and then finds everything that the first one wrote.
    """
    User.objects.select_for_update(no_key=True).values_list("pk").get(pk=by.pk)


def gather(
    entries: Sequence[Entry],
    *,
    by: User,
    phone: Phone | None,
    now: datetime,
    settled_at: int | None = None,
    entered_by: User | None = None,
    entered_at: int | None = None,
) -> Batch:
    """Lock what the entries want to change, then read what is known of them.

    Where an office settles what ``by`` said at a lake, it counts that it was said there:
    whether that person may still log fish today is no matter. What was entered for them at
    one lake changes nothing at another.
    """
    vials = lock_vials(_numbers_touched(entries, by))
    entry_ids = {entry.entry_id for entry in entries}
    batch = Batch(
        by=by,
        phone=phone,
        now=now,
        entered_by=entered_by,
        vials=vials,
        fish={fish.entry_id: fish for fish in Fish.objects.filter(entry_id__in=entry_ids)},
        held={
            (held.entry_id, held.fingerprint): held
            for held in HeldEntry.objects.filter(entry_id__in=entry_ids)
        },
        parties={},
        may_log=_lakes(by, May.LOG_FISH, settled_at, entered_at),
        may_log_without_vial=_lakes(by, May.LOG_FOR_OTHERS, settled_at, entered_at),
        taken=dict(
            Fish.objects.filter(vial__in=[vial.pk for vial in vials.values()]).values_list(
                "vial_id", "entry_id"
            )
        )
        if vials
        else {},
    )
    batch._fetch_parties({entry.party_id for entry in entries})
    return batch


def _lakes(by: User, what: May, settled_at: int | None, entered_at: int | None) -> frozenset[int]:
    if settled_at is not None:
        return frozenset({settled_at})
    lakes = frozenset(lake.pk for lake in lakes_where(by, what))
    return lakes if entered_at is None else lakes & {entered_at}


def _numbers_touched(entries: Sequence[Entry], by: User) -> set[str]:
    """List every vial that these entries name, free or move."""
    numbers = {number_said(text) for entry in entries for text in entry.vial_texts() if text}
    named = {number for number in numbers if number}
    about = [e.about_entry_id for e in entries if isinstance(e, Correction | Withdrawal)]
    left = Vial.objects.filter(fish__entry_id__in=about, fish__logged_by=by)
    touched = named | set(left.values_list("number", flat=True) if about else ())
    for entry in entries:
        if isinstance(entry, Shift):
            touched |= _numbers_shifted(entry, named, by)
    return touched


def _numbers_shifted(entry: Shift, named: set[str], by: User) -> set[str]:
    """List the vials that a shift moves fish out of and into.

    Fish of the same batch are moved too, so the vials that it names count as the party's.
    """
    start = number_said(entry.from_vial)
    if start is None:
        return set()
    of_party = Vial.objects.filter(
        fish__party__party_id=entry.party_id, fish__logged_by=by, number__gte=start
    )
    moved = {*of_party.values_list("number", flat=True), *named, start}
    return moved | {after for number in moved if (after := number_after(number, entry.by))}


def number_after(number: str, by: int) -> str | None:
    """Give the number so many places on, or None where the sequence ends before."""
    try:
        return vial_number.step(number, by)
    except vial_number.VialNumberRefused:
        return None
