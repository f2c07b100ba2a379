"""Opening, changing and closing a party, and counting what was not measured."""

from datetime import date
from typing import Any

from simple_history.utils import bulk_update_with_history

from samples.models import (
    Age,
    Arm,
    Donor,
    Fish,
    HeldEntry,
    Lake,
    Party,
    Reach,
    Season,
    UnmeasuredCount,
)
from samples.ramp.entry import (
    Entry,
    PartyChanged,
    PartyClosed,
    PartyFacts,
    PartyOpened,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.queries import date_questions, season_for
from samples.ramp.services.answers import Held, Refused
from samples.ramp.services.batch import Batch
from samples.ramp.services.donors import named_donor

OUT_OF_SEASON = "date_out_of_season"
# Up to this one the phone's app asks by itself, and has no way to answer when it is asked back.
LAST_APP_THAT_CANNOT_ANSWER = 1


def open_party(entry: PartyOpened, batch: Batch) -> Party:
    """Open a party at a lake of the sender's.

    :raises Refused: if the lake, the arm, the reach or the season is not known, or the date is
        outside every season and nobody said that it is right
    :raises Held: if the party was opened before with other words
    """
    known = Party.objects.filter(party_id=entry.party_id).first()
    if known is not None:
        raise Held("entry_changed")
    lake = Lake.objects.filter(slug=entry.lake, pk__in=batch.may_log).first()
    if lake is None:
        raise Refused("not_your_lake", {"lake": ["You are not set up to log fish at this lake."]})
    arm, reach = place(lake, entry.party)
    if not entry.season:
        _ask_about_season(lake, entry, batch)
    party = Party(
        party_id=entry.party_id,
        fingerprint=entry.fingerprint(),
        lake=lake,
        season=_season(lake, entry),
        arm=arm,
        reach=reach,
        donor=_donor(lake, entry, batch),
        interview_key=entry.interview_key,
        slip_answers=sorted(entry.confirmed),
        opened_by=batch.by,
        phone=batch.phone,
        opened_at=entry.said_at,
        received_at=batch.now,
        **_plain_columns(entry.party),
    )
    party.save()
    # What came before its party waits without one; now it is known where it belongs.
    HeldEntry.objects.filter(
        said_by=batch.by, party__isnull=True, said__party_id=str(entry.party_id)
    ).update(party=party, lake=lake)
    return party


def place(lake: Lake, facts: PartyFacts) -> tuple[Arm, Reach | None]:
    """Find the arm and the reach said.

    :raises Refused: if the lake has no such arm, or the arm no such reach
    """
    arm = Arm.objects.filter(lake=lake, name=facts.arm).first()
    if arm is None:
        raise Refused("unknown_arm", {"arm": [f"{lake} has no arm {facts.arm}. Choose its arm."]})
    if not facts.reach:
        return arm, None
    reach = Reach.objects.filter(arm=arm, name=facts.reach).first()
    if reach is None:
        raise Refused(
            "unknown_reach",
            {"reach": [f"{arm} has no reach {facts.reach}. Choose one of its own, or none."]},
        )
    return arm, reach


def _ask_about_season(lake: Lake, entry: PartyOpened | PartyChanged, batch: Batch) -> None:
    """Ask about a date outside every season, unless the phone itself had to.

    A date after today is left to the phone: its clock is no reason to send a trip back.
    """
    if entry.party.caught_on is None or _cannot_answer(entry):
        return
    asked = date_questions(lake, entry.party.caught_on, now=batch.now, confirmed=entry.confirmed)
    sentences = [question.sentence for question in asked if question.code == OUT_OF_SEASON]
    if sentences:
        raise Refused("needs_answer", {"caught_on": sentences})


def _cannot_answer(entry: Entry) -> bool:
    app = entry.said.get("app")
    return isinstance(app, int) and app <= LAST_APP_THAT_CANNOT_ANSWER


def _season(lake: Lake, entry: PartyOpened) -> Season:
    if entry.season:
        season = Season.objects.filter(lake=lake, name=entry.season).first()
    else:
        season = season_for(lake, entry.party.caught_on or entry.said_at.date())
    if season is None:
        raise Refused("no_season", {"caught_on": [f"{lake} has no season yet. Ask the biologist."]})
    return season


def _donor(lake: Lake, entry: PartyOpened, batch: Batch) -> Donor | None:
    """The donor is not the logger: a guide gives their own fish, a clerk logs other people's."""
    if entry.donor_name and lake.pk in batch.may_log_without_vial:
        return named_donor(lake.pk, entry.donor_name)
    if entry.interview_key:
        return None
    return Donor.objects.filter(lake=lake, person=batch.by).first()


def _plain_columns(facts: PartyFacts) -> dict[str, Any]:
    names = (
        "caught_on",
        "method",
        "how_chosen",
        "every_nth",
        "fish_in_box",
        "kept",
        "net_nights",
        "net_mesh_mm",
    )
    return {name: getattr(facts, name) for name in names}


def own_party(entry: Entry, batch: Batch) -> Party:
    """Find the party an entry speaks of.

    :raises Held: if it never arrived, or is not the sender's
    """
    party = batch.party_of(entry.party_id)
    if party is None:
        raise Held("unknown_party")
    return party


def change_party(entry: PartyChanged, batch: Batch) -> Party:
    """Write a party down anew; its fish follow, but for the arm when the boat moved.

    :raises Refused: if a place is unknown, if fish whose date would change are aged, or if a new
        date is outside every season and nobody said that it is right
    """
    party = own_party(entry, batch)
    arm, reach = place(party.lake, entry.party)
    # A date that stays was answered for when it was first said.
    if entry.party.caught_on != party.caught_on:
        _ask_about_season(party.lake, entry, batch)
    _refuse_date_of_aged_fish(party, entry.party.caught_on)
    if entry.moved:
        party.leg += 1
    if entry.reopens:
        party.closed_at, party.count_in_hand, party.last_number_said = None, None, ""
    party.arm, party.reach = arm, reach
    for name, value in _plain_columns(entry.party).items():
        setattr(party, name, value)
    if party.caught_on is not None:
        party.season = season_for(party.lake, party.caught_on) or party.season
    party.save()
    _carry_to_fish(party, moved=entry.moved, batch=batch)
    return party


def _refuse_date_of_aged_fish(party: Party, caught_on: date | None) -> None:
    if caught_on != party.caught_on and Age.objects.filter(fish__party=party).exists():
        raise Refused(
            "already_aged",
            {"caught_on": ["Fish of it are aged already. Ask the administrator to change it."]},
        )


def _carry_to_fish(party: Party, *, moved: bool, batch: Batch) -> None:
    """Keep the columns true that fish repeat from their party."""
    fish = list(Fish.objects.filter(party=party))
    names = ["method", "caught_on", "season"]
    for one in fish:
        one.method, one.caught_on, one.season = party.method, party.caught_on, party.season
        if not moved and one.leg == party.leg:
            one.arm, one.reach = party.arm, party.reach
    if fish:
        bulk_update_with_history(
            fish,
            Fish,
            [*names, "arm", "reach"],
            default_user=batch.signs,
            default_date=batch.now,
        )


def close_party(entry: PartyClosed, batch: Batch) -> Party:
    """Close a party with the count in hand and the last number, as said."""
    party = own_party(entry, batch)
    # By the phone's clock; when it reached us stands beside the entry itself.
    party.closed_at = entry.said_at
    party.count_in_hand = entry.count_in_hand
    party.last_number_said = entry.last_number
    party.save()
    return party


def withdraw_count(entry: Withdrawal, batch: Batch) -> Party | None:
    """Take a count of unmeasured fish back, if the entry is about one of the sender's."""
    rows = UnmeasuredCount.objects.select_for_update(of=("self",)).select_related("party")
    counted = rows.filter(entry_id=entry.about_entry_id, logged_by=batch.by).first()
    if counted is None or counted.party.lake_id not in batch.may_log:
        return None
    counted.withdrawn = True
    counted.save()
    return counted.party


def count_unmeasured(entry: UnmeasuredCounted, batch: Batch) -> Party:
    """Note how many fish of a species were counted and not measured."""
    party = own_party(entry, batch)
    kind = batch.species.get((party.lake_id, entry.species))
    if kind is None:
        raise Refused("unknown_species", {"species": ["Choose a species of this lake."]})
    UnmeasuredCount.objects.create(
        entry_id=entry.entry_id,
        party=party,
        species=kind.species,
        count=entry.count,
        logged_by=batch.by,
        logged_at=entry.said_at,
        received_at=batch.now,
    )
    return party
