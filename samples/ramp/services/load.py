"""What entries need from the database: locked and read once, for all of them.

The vials are locked together, in the order of their ids, so that two batches never wait for each
other in a ring; everything else is read after the lock, so that it is true.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet

from samples.accounts.permissions import Permission, lakes_with_permission
from samples.models import (
    OUT_OF_USE,
    WITHOUT_AN_OTOLITH,
    Age,
    Arm,
    Donor,
    Fish,
    HeldEntry,
    Lake,
    LakeSpecies,
    Party,
    Reach,
    Season,
    UnmeasuredCount,
    User,
    Vial,
)
from samples.models import Entry as EntryRow
from samples.ramp.entry import (
    Correction,
    Entry,
    FishLogged,
    PartyChanged,
    PartyOpened,
    Shift,
    Withdrawal,
)
from samples.ramp.queries import has_later_trip_with_fish
from samples.ramp.services.known import (
    Known,
    KnownArm,
    KnownCount,
    KnownFish,
    KnownLake,
    KnownSeason,
    KnownSpecies,
    KnownTrip,
    KnownVial,
)
from samples.rules import vial_number
from samples.rules.vial_number import read_vial


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows that a load locked and read, for the writer: vials, and keys of trips."""

    vials: dict[str, Vial]
    trips: dict[UUID, int]


def lock_vials(numbers: Iterable[str]) -> dict[str, Vial]:
    """Lock the rows of these vials, in one order for everybody."""
    wanted = set(numbers)
    if not wanted:
        return {}
    rows = Vial.objects.select_for_update().filter(number__in=wanted).order_by("pk")
    return {vial.number: vial for vial in rows}


def lock_author(author: User) -> None:
    """Let the batches of one person in one at a time.

    A phone that heard no answer sends again while its first sending is still at work; the
    second waits here, and then finds everything that the first one wrote.
    """
    User.objects.select_for_update(no_key=True).values_list("pk").get(pk=author.pk)


def load(
    entries: Sequence[Entry],
    *,
    author: User,
    now: datetime,
    pasted_at: Lake | None = None,
    resolved_at: int | None = None,
) -> tuple[Known, Rows]:
    """Lock the vials that the entries want, then read what is known of all they speak of.

    ``pasted_at``: entries that an office typed in for the author change nothing at another lake.
    ``resolved_at``: where an office settles what the author said at a lake, it counts that it was
    said there; whether that person may still log fish today is no matter.
    """
    vials = lock_vials(_numbers_touched(entries, author))
    lakes = _lakes(author, Permission.LOG_FISH, pasted_at, resolved_at)
    for_others = _lakes(author, Permission.LOG_FOR_OTHERS, pasted_at, resolved_at)
    fish = _fish(entries, author)
    # A fish may have changed its vial before its own row was locked.
    vials |= lock_vials(n for one in fish if (n := _number_of(one)) and n not in vials)
    counts = _counts(entries, author, lakes)
    party_ids = {entry.party_id for entry in entries} | {one.party.party_id for one in counts}
    party_ids |= {one.party.party_id for one in fish}
    parties = Party.objects.filter(party_id__in=party_ids)
    own = [one for one in parties if one.opened_by_id == author.pk and one.lake_id in lakes]
    own_and_counted = {one.party_id: one.pk for one in own}
    own_and_counted |= {one.party.party_id: one.party_id for one in counts}
    known = Known(
        now=now,
        lakes=_known_lakes(entries, own, lakes, for_others, author),
        trips=_known_trips(entries, own, author),
        party_ids=frozenset(one.party_id for one in parties),
        vials={number: _known_vial(vial) for number, vial in vials.items()},
        holders=_holders(vials),
        fish={one.entry_id: _known_fish(one, author, lakes) for one in fish},
        counts={
            one.entry_id: KnownCount(entry_id=one.entry_id, party_id=one.party.party_id)
            for one in counts
        },
        entries=_entries_before(entries),
        held=_held_before(entries),
        held_vials=_held_vials(entries, author),
        is_pasted=pasted_at is not None,
        is_resolved=resolved_at is not None,
    )
    return known, Rows(vials, own_and_counted)


def _lakes(
    author: User, permission: Permission, pasted_at: Lake | None, resolved_at: int | None
) -> dict[int, Lake]:
    if resolved_at is not None:
        return {lake.pk: lake for lake in Lake.objects.filter(pk=resolved_at)}
    lakes = {lake.pk: lake for lake in lakes_with_permission(author, permission)}
    return lakes if pasted_at is None else {k: v for k, v in lakes.items() if k == pasted_at.pk}


# ---------- Vials and fish ----------


def _numbers_touched(entries: Sequence[Entry], author: User) -> set[str]:
    """Return every vial that these entries name, free or move."""
    touched = {vial.number for entry in entries for vial in entry.vials() if vial.number}
    about = _about(entries)
    if about:
        left = Vial.objects.filter(fish__entry_id__in=about, fish__logged_by=author)
        touched |= set(left.values_list("number", flat=True))
    for entry in entries:
        if isinstance(entry, Shift) and entry.from_vial.number:
            touched |= _numbers_moved(entry, entry.from_vial.number, touched, author)
    return touched


def _numbers_moved(entry: Shift, start: str, touched: set[str], author: User) -> set[str]:
    """Return the vials that a shift moves fish out of and into.

    Fish of the same batch are moved too, so the vials that it names count as the trip's.
    """
    of_trip = Vial.objects.filter(
        fish__party__party_id=entry.party_id, fish__logged_by=author, number__gte=start
    )
    moved = {*of_trip.values_list("number", flat=True), *touched, start}
    after = (vial_number.number_after(number, entry.offset) for number in moved)
    return moved | {number for number in after if number}


def _about(entries: Iterable[Entry]) -> set[UUID]:
    return {one.about_entry_id for one in entries if isinstance(one, Correction | Withdrawal)}


def _fish(entries: Sequence[Entry], author: User) -> list[Fish]:
    """Return the fish that the entries are, are about or move; those about to change are locked."""
    about = _about(entries)
    if about:
        own = Fish.objects.select_for_update().filter(entry_id__in=about, logged_by=author)
        list(own.order_by("pk").values_list("pk"))
    shifted = {entry.party_id for entry in entries if isinstance(entry, Shift)}
    wanted = Q(entry_id__in={entry.entry_id for entry in entries} | about)
    if shifted:
        wanted |= Q(party__party_id__in=shifted, vial__isnull=False)
    return list(Fish.objects.filter(wanted).select_related("vial", "party"))


def _number_of(fish: Fish) -> str:
    return fish.vial.number if fish.vial is not None else ""


def _known_fish(fish: Fish, author: User, lakes: dict[int, Lake]) -> KnownFish:
    return KnownFish(
        entry_id=fish.entry_id,
        fingerprint=fish.fingerprint,
        party_id=fish.party.party_id,
        lake=fish.lake_id,
        is_own=fish.logged_by_id == author.pk and fish.lake_id in lakes,
        is_withdrawn=fish.withdrawn,
        vial=_number_of(fish) or None,
    )


def _known_vial(vial: Vial) -> KnownVial:
    return KnownVial(
        number=vial.number,
        lake=vial.lake_id,
        is_out_of_use=vial.state in OUT_OF_USE,
        is_received=vial.received_at is not None,
        is_without_otolith=vial.content in WITHOUT_AN_OTOLITH,
    )


def _holders(vials: dict[str, Vial]) -> dict[str, UUID]:
    if not vials:
        return {}
    fish = Fish.objects.filter(vial__in=[vial.pk for vial in vials.values()])
    by_pk = dict(fish.values_list("vial_id", "entry_id"))
    return {number: by_pk[vial.pk] for number, vial in vials.items() if vial.pk in by_pk}


# ---------- Trips, and what they may name ----------


def _known_trips(
    entries: Sequence[Entry], own: Iterable[Party], author: User
) -> dict[UUID, KnownTrip]:
    changed = {entry.party_id for entry in entries if isinstance(entry, PartyChanged)}
    aged: set[UUID] = set()
    if changed:
        ages = Age.objects.filter(fish__party__party_id__in=changed)
        aged = set(ages.values_list("fish__party__party_id", flat=True).distinct())
    followed = _followed(entries, own, author)
    return {
        party.party_id: KnownTrip(
            party_id=party.party_id,
            lake=party.lake_id,
            season=party.season_id,
            arm=party.arm_id,
            reach=party.reach_id,
            leg=party.leg,
            donor=party.donor_id,
            method=party.method,
            caught_on=party.caught_on,
            has_aged_fish=party.party_id in aged,
            is_followed=party.party_id in followed,
        )
        for party in own
    }


def _followed(entries: Sequence[Entry], own: Iterable[Party], author: User) -> set[UUID]:
    """Return the trips to be reopened before one that has a fish, but for fish deleted here."""
    reopened = {one.party_id for one in entries if isinstance(one, PartyChanged) and one.reopens}
    deleted = {one.about_entry_id for one in entries if isinstance(one, Withdrawal)}
    return {
        party.party_id
        for party in own
        if party.party_id in reopened and has_later_trip_with_fish(author, party, besides=deleted)
    }


def _known_lakes(
    entries: Sequence[Entry],
    own: Iterable[Party],
    lakes: dict[int, Lake],
    for_others: Iterable[int],
    author: User,
) -> dict[int, KnownLake]:
    """Return the author's lakes; of those that the entries speak of, all that may be named."""
    named = {entry.lake for entry in entries if isinstance(entry, PartyOpened)}
    spoken_of = {pk for pk, lake in lakes.items() if lake.slug in named}
    spoken_of |= {party.lake_id for party in own}
    known = {
        lake.pk: KnownLake(
            pk=lake.pk,
            name=lake.name,
            slug=lake.slug,
            time_zone=lake.time_zone,
            for_others=lake.pk in for_others,
        )
        for lake in lakes.values()
    }
    species = _species_of(spoken_of)
    known |= {pk: replace(known[pk], species=species[pk]) for pk in spoken_of}
    if any(isinstance(entry, PartyOpened | PartyChanged) for entry in entries):
        known |= _with_places({pk: known[pk] for pk in spoken_of}, author)
    return known


def _species_of(lakes: Iterable[int]) -> dict[int, dict[str, KnownSpecies]]:
    found: dict[int, dict[str, KnownSpecies]] = defaultdict(dict)
    for row in LakeSpecies.objects.filter(lake_id__in=list(lakes)).select_related("species"):
        here = row.species_here
        found[row.lake_id][here.code] = KnownSpecies(
            pk=here.pk,
            name=here.name,
            plausible_min_hundredths_mm=here.plausible_min_hundredths_mm,
            plausible_max_hundredths_mm=here.plausible_max_hundredths_mm,
            spines_min=here.spines_min,
            spines_max=here.spines_max,
        )
    return found


def _with_places(lakes: dict[int, KnownLake], author: User) -> dict[int, KnownLake]:
    """Return lakes with their arms, reaches and seasons, and the author's row as a donor."""
    reaches: dict[int, dict[str, int]] = defaultdict(dict)
    for reach in Reach.objects.filter(arm__lake__in=list(lakes)):
        reaches[reach.arm_id][reach.name] = reach.pk
    arms: dict[int, dict[str, KnownArm]] = defaultdict(dict)
    for arm in Arm.objects.filter(lake__in=list(lakes)):
        arms[arm.lake_id][arm.name] = KnownArm(pk=arm.pk, name=arm.name, reaches=reaches[arm.pk])
    seasons: dict[int, list[KnownSeason]] = defaultdict(list)
    for season in Season.objects.filter(lake__in=list(lakes)):
        seasons[season.lake_id].append(
            KnownSeason(
                pk=season.pk,
                name=season.name,
                starts_on=season.starts_on,
                ends_on=season.ends_on,
            )
        )
    donors = dict(
        Donor.objects.filter(lake__in=list(lakes), person=author).values_list("lake", "pk")
    )
    return {
        pk: replace(lake, arms=arms[pk], seasons=tuple(seasons[pk]), own_donor=donors.get(pk))
        for pk, lake in lakes.items()
    }


# ---------- What came before ----------


def _counts(
    entries: Sequence[Entry], author: User, lakes: dict[int, Lake]
) -> QuerySet[UnmeasuredCount] | list[UnmeasuredCount]:
    about = {entry.about_entry_id for entry in entries if isinstance(entry, Withdrawal)}
    if not about:
        return []
    rows = UnmeasuredCount.objects.select_for_update(of=("self",)).select_related("party")
    return rows.filter(entry_id__in=about, logged_by=author, party__lake__in=list(lakes))


def _entries_before(entries: Sequence[Entry]) -> dict[UUID, str]:
    ids = {entry.entry_id for entry in entries if not isinstance(entry, FishLogged)}
    if not ids:
        return {}
    rows = EntryRow.objects.filter(entry_id__in=ids)
    return dict(rows.values_list("entry_id", "fingerprint"))


def _held_before(entries: Sequence[Entry]) -> dict[tuple[UUID, str], str]:
    rows = HeldEntry.objects.filter(entry_id__in={entry.entry_id for entry in entries})
    found = rows.values_list("entry_id", "fingerprint", "reason")
    return {(entry_id, fingerprint): reason for entry_id, fingerprint, reason in found}


def _held_vials(entries: Sequence[Entry], author: User) -> frozenset[tuple[UUID, str]]:
    """Return the vials of fish that wait for the office, of trips whose vials are moved."""
    shifted = {entry.party_id for entry in entries if isinstance(entry, Shift)}
    if not shifted:
        return frozenset()
    held = HeldEntry.objects.filter(
        party__party_id__in=shifted,
        said_by=author,
        kind=FishLogged.kind,
        state=HeldEntry.State.OPEN,
    ).values_list("party__party_id", "said")
    read = ((party_id, read_vial(str(said.get("vial", "")))) for party_id, said in held)
    return frozenset((party_id, vial.number) for party_id, vial in read if vial.number)
