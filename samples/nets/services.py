"""Recording a net set, and keeping the plan of a season."""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID, uuid5

from simple_history.utils import bulk_create_with_history

from samples.models import (
    Arm,
    HowChosen,
    Lake,
    LakeSpecies,
    LengthCount,
    Party,
    PlannedSets,
    Season,
    Sex,
    User,
    atomic_with_revision,
)
from samples.nets.parts import NetSetFacts, SpeciesCatch, Station
from samples.ramp.entry import (
    FishFacts,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyFacts,
    PartyOpened,
    Withdrawal,
    specs_of,
)
from samples.ramp.services import HELD_WORDS, Answer, Outcome, ingest

TAKEN = {Outcome.LOGGED, Outcome.ALREADY_LOGGED}
FROM_A_SHEET = {"form": "net set"}
# Fields of entries, as the form of a net set calls them.
FIELDS = {"arm": "station", "reach": "station", "caught_on": "lifted_on", "length": "lengths"}

SENT_BEFORE = "This page was sent before with other values. Open Record a net set again."


class CannotRecord(Exception):
    """A net set that can't be kept as it is; nothing of it was kept.

    ``field`` is the field of the form, empty where it is none of them.
    """

    def __init__(self, code: str, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.code = code
        self.field = field


@atomic_with_revision()
def record_net_set(facts: NetSetFacts, *, lake: Lake, actor: User, now: datetime) -> Party:
    """Record a net set with its catch, all of it or nothing. Safe to repeat.

    It goes the way of a trip from a phone: fish that were measured are fish like any other, without
    a vial; fish that were counted by length are kept as counts.

    :raises CannotRecord: if the set or a fish of it is refused, with the reason
    :raises TryLater: if the database is away
    """
    opened = PartyOpened(
        entry_id=facts.request_id,
        party_id=facts.request_id,
        written_at=now,
        payload=FROM_A_SHEET,
        lake=lake.slug,
        party=PartyFacts(
            arm=facts.station.arm,
            reach=facts.station.reach,
            caught_on=facts.lifted_on,
            method=facts.method,
            how_chosen=HowChosen.EVERY_FISH,
            net_nights=facts.net_nights,
            net_mesh_mm=facts.net_mesh_mm,
        ),
    )
    closed = PartyClosed(
        entry_id=uuid5(facts.request_id, "end"),
        party_id=facts.request_id,
        written_at=now,
        payload=FROM_A_SHEET,
        count_in_hand=0,
    )
    entries = [opened, *_fish_of(facts, now), closed]
    answers = ingest(entries, author=actor, now=now)
    for answer in answers:
        _refuse_unless_taken(answer)
    party = Party.objects.get(party_id=facts.request_id)
    rows = [row for one in facts.catch for row in _counts_of(one, party, actor, now)]
    if answers[0].outcome is Outcome.LOGGED:
        bulk_create_with_history(rows, LengthCount, default_user=actor, default_date=now)
    elif {answer.outcome for answer in answers} != {Outcome.ALREADY_LOGGED} or (
        _is_other_catch(party, facts, rows)
    ):
        raise CannotRecord("entry_changed", SENT_BEFORE)
    return party


def _is_other_catch(party: Party, facts: NetSetFacts, rows: list[LengthCount]) -> bool:
    """Return whether a set on record has other counts, or more fish of the sheet, than these.

    Entries tell that a fish or a fact of the set is another; counts by length are in none.
    """
    kept = party.length_counts.values_list("species", "from_hundredths_mm", "count")
    if set(kept) != {(one.species_id, one.from_hundredths_mm, one.count) for one in rows}:
        return True
    typed = {one.code: len(one.lengths) for one in facts.catch}
    codes = LakeSpecies.objects.filter(lake=party.lake_id).values_list("species__code", flat=True)
    after_last = [_fish_id(facts, code, typed.get(code, 0)) for code in codes]
    return party.fish.filter(entry_id__in=after_last).exists()


def _fish_id(facts: NetSetFacts, code: str, place: int) -> UUID:
    return uuid5(facts.request_id, f"{code}/{place}")


@atomic_with_revision()
def delete_net_set(party: Party, *, actor: User, now: datetime) -> None:
    """Take a net set out of every count; what was written of it stays on record. Safe to repeat.

    Its fish and counts are deleted, and the trip has no net nights any more.

    :raises CannotRecord: if fish of it have vials: those are no mistake of a typed sheet
    :raises TryLater: if the database is away
    """
    fish = party.fish.filter(withdrawn=False)
    if fish.filter(vial__isnull=False).exists():
        sentence = "Fish of this set have vials. Delete those fish first, or change the trip."
        raise CannotRecord("has_vials", sentence)
    counts = party.unmeasured.filter(withdrawn=False)
    gone = [*fish.values_list("entry_id", flat=True), *counts.values_list("entry_id", flat=True)]
    for row in party.length_counts.all():
        row.delete()
    if party.net_nights is None:
        return
    entries = [*(_withdrawal(one, party, now) for one in gone), _without_effort(party, now)]
    for answer in ingest(entries, author=party.opened_by, now=now, typed_by=actor):
        _refuse_unless_taken(answer)


def _withdrawal(entry_id: UUID, party: Party, now: datetime) -> Withdrawal:
    return Withdrawal(
        entry_id=uuid5(entry_id, "deleted with its net set"),
        party_id=party.party_id,
        written_at=now,
        payload=FROM_A_SHEET,
        about_entry_id=entry_id,
    )


def _without_effort(party: Party, now: datetime) -> PartyChanged:
    facts = {
        one.attribute: getattr(party, one.attribute)
        for one in specs_of(PartyFacts)
        if one.attribute not in {"arm", "reach"}
    }
    reach = party.reach.name if party.reach else ""
    return PartyChanged(
        entry_id=uuid5(party.party_id, "deleted"),
        party_id=party.party_id,
        written_at=now,
        payload=FROM_A_SHEET,
        party=PartyFacts(arm=party.arm.name, reach=reach, **facts | {"net_nights": None}),
    )


def _fish_of(facts: NetSetFacts, now: datetime) -> list[FishLogged]:
    return [
        FishLogged(
            entry_id=_fish_id(facts, one.code, place),
            party_id=facts.request_id,
            written_at=now,
            payload=FROM_A_SHEET,
            fish=FishFacts(
                species=one.code,
                length=length,
                sex=Sex.NOT_KNOWN.value,
                confirmed=one.confirmed,
            ),
        )
        for one in facts.catch
        for place, length in enumerate(one.lengths)
    ]


def _counts_of(one: SpeciesCatch, party: Party, actor: User, now: datetime) -> list[LengthCount]:
    return [
        LengthCount(
            party=party,
            species_id=one.species_id,
            from_hundredths_mm=low,
            below_hundredths_mm=below,
            count=count,
            logged_by=actor,
            logged_at=now,
        )
        for low, below, count in one.by_bin
    ]


def _refuse_unless_taken(answer: Answer) -> None:
    if answer.outcome in TAKEN:
        return
    if answer.reason == "entry_changed":
        raise CannotRecord(answer.reason, SENT_BEFORE)
    name = next(iter(answer.errors), "")
    words = answer.message or HELD_WORDS.get(answer.reason, answer.reason)
    raise CannotRecord(answer.reason, words, FIELDS.get(name, ""))


@atomic_with_revision()
def save_plan(
    season: Season,
    sets: Mapping[Station, int],
    *,
    net_nights: int,
    net_mesh_mm: int | None,
) -> int:
    """Keep these sets as the plan of a season, in place of the one before; return how many."""
    # Two plans saved at one moment wait for each other.
    Season.objects.select_for_update().get(pk=season.pk)
    own = set(Arm.objects.filter(lake=season.lake_id).values_list("pk", flat=True))
    before = {(row.arm_id, row.reach_id): row for row in season.planned_sets.all()}
    for station, number in sets.items():
        row = before.pop((station.arm_id, station.reach_id), None)
        if not number or station.arm_id not in own:
            if row is not None:
                row.delete()
            continue
        facts = {"sets": number, "net_nights": net_nights, "net_mesh_mm": net_mesh_mm}
        if row is None:
            PlannedSets.objects.create(
                season=season, arm_id=station.arm_id, reach_id=station.reach_id, **facts
            )
        elif any(getattr(row, name) != value for name, value in facts.items()):
            for name, value in facts.items():
                setattr(row, name, value)
            row.save()
    for row in before.values():
        row.delete()
    return sum(sets.values())
