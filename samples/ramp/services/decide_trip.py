"""Decisions on trips: opened, changed and closed, and what was counted and not measured."""

from dataclasses import replace

from samples.ramp.entry import (
    Entry,
    PartyChanged,
    PartyClosed,
    PartyFacts,
    PartyOpened,
    UnmeasuredCounted,
)
from samples.ramp.queries import date_questions_about, season_on
from samples.ramp.services.answers import Held, Refused
from samples.ramp.services.changes import (
    Change,
    ChangeTrip,
    CloseTrip,
    CountFish,
    KeepEntry,
    OpenTrip,
)
from samples.ramp.services.known import Known, KnownCount, KnownLake, KnownSeason, KnownTrip

Changed = tuple[tuple[Change, ...], Known]

NOT_THE_LAST = "A later trip has fish, so this one can't be reopened."
OUT_OF_SEASON = "date_out_of_season"
# Up to this one the phone's app asks by itself, and has no way to answer when it is asked back.
LAST_APP_THAT_CANNOT_ANSWER = 1


def own_trip(entry: Entry, known: Known) -> KnownTrip:
    """Return the trip that an entry speaks of.

    :raises Held: if it never arrived, or is not the author's
    """
    trip = known.trips.get(entry.party_id)
    if trip is None:
        raise Held("unknown_party")
    return trip


def open_trip(entry: PartyOpened, known: Known) -> Changed:
    """Open a trip at a lake of the author's.

    :raises Refused: if the lake, the arm, the reach or the season is not known, or the date is
        outside every season and nobody said that it is right
    :raises Held: if the trip was opened before with other facts
    """
    if entry.party_id in known.party_ids:
        raise Held("entry_changed")
    lake = known.lake_named(entry.lake)
    if lake is None:
        sentence = "You are not set up to log fish at this lake."
        raise Refused("not_your_lake", {"lake": [sentence]})
    arm, reach = _place(lake, entry.party)
    if not entry.season:
        _ask_about_season(lake, entry, known)
    donor, new_donor = _donor(lake, entry)
    trip = KnownTrip(
        party_id=entry.party_id,
        lake=lake.pk,
        season=_season(lake, entry).pk,
        arm=arm,
        reach=reach,
        leg=1,
        donor=donor,
        new_donor=new_donor,
        method=entry.party.method,
        caught_on=entry.party.caught_on,
    )
    after = known.with_trip(trip)
    return (OpenTrip(entry, trip), _keep(entry, trip)), _noted(entry, after)


def change_trip(entry: PartyChanged, known: Known) -> Changed:
    """Write a trip down anew; its fish follow, but for the arm when the boat moved.

    :raises Refused: if it is reopened after a later one has fish, if a place is unknown, if fish
        whose date would change are aged, or if a new date is outside every season and nobody said
        that it is right
    """
    trip = own_trip(entry, known)
    if entry.reopens and trip.is_followed and not known.is_resolved:
        raise Refused("not_the_last", {"reopen": [NOT_THE_LAST]})
    lake = known.lakes[trip.lake]
    arm, reach = _place(lake, entry.party)
    # A date that stays was answered for when it was first said.
    if entry.party.caught_on != trip.caught_on:
        _ask_about_season(lake, entry, known)
        _refuse_if_aged(trip)
    day = entry.party.caught_on
    season = season_on(lake.seasons, day) if day is not None else None
    changed = replace(
        trip,
        arm=arm,
        reach=reach,
        leg=trip.leg + (1 if entry.moved else 0),
        season=season.pk if season is not None else trip.season,
        method=entry.party.method,
        caught_on=day,
    )
    after = known.with_trip(changed)
    return (ChangeTrip(entry, changed), _keep(entry, trip)), _noted(entry, after)


def close_trip(entry: PartyClosed, known: Known) -> Changed:
    """Close a trip with the count in hand and the last number."""
    trip = own_trip(entry, known)
    return (CloseTrip(entry), _keep(entry, trip)), _noted(entry, known)


def count_fish(entry: UnmeasuredCounted, known: Known) -> Changed:
    """Note how many fish of a species were counted and not measured."""
    trip = own_trip(entry, known)
    species = known.lakes[trip.lake].species.get(entry.species)
    if species is None:
        raise Refused("unknown_species", {"species": ["Choose a species of this lake."]})
    after = known.with_count(KnownCount(entry_id=entry.entry_id, party_id=trip.party_id))
    return (CountFish(entry, species.pk), _keep(entry, trip)), _noted(entry, after)


def _keep(entry: Entry, trip: KnownTrip) -> KeepEntry:
    return KeepEntry(entry, trip.party_id, trip.lake)


def _noted(entry: Entry, known: Known) -> Known:
    return known.with_entry(entry.entry_id, entry.fingerprint())


def _place(lake: KnownLake, facts: PartyFacts) -> tuple[int, int | None]:
    """Return the arm and the reach.

    :raises Refused: if the lake has no such arm, or the arm no such reach
    """
    arm = lake.arms.get(facts.arm)
    if arm is None:
        sentence = f"{lake.name} has no arm {facts.arm}. Choose its arm."
        raise Refused("unknown_arm", {"arm": [sentence]})
    if not facts.reach:
        return arm.pk, None
    if facts.reach not in arm.reaches:
        sentence = f"{arm.name} has no reach {facts.reach}. Choose one of its own, or none."
        raise Refused("unknown_reach", {"reach": [sentence]})
    return arm.pk, arm.reaches[facts.reach]


def _ask_about_season(lake: KnownLake, entry: PartyOpened | PartyChanged, known: Known) -> None:
    """Ask about a date outside every season, unless the phone itself had to.

    A date after today is left to the phone: its clock is no reason to send a trip back.
    """
    day = entry.party.caught_on
    if day is None or _cannot_answer(entry):
        return
    open_questions = date_questions_about(
        day, season_on(lake.seasons, day), lake.time_zone, now=known.now, confirmed=entry.confirmed
    )
    sentences = [one.sentence for one in open_questions if one.code == OUT_OF_SEASON]
    if sentences:
        raise Refused("needs_answer", {"caught_on": sentences})


def _cannot_answer(entry: Entry) -> bool:
    app = entry.payload.get("app")
    return isinstance(app, int) and app <= LAST_APP_THAT_CANNOT_ANSWER


def _refuse_if_aged(trip: KnownTrip) -> None:
    if trip.has_aged_fish:
        sentence = "Some of its fish are already aged. Ask the administrator to change it."
        raise Refused("already_aged", {"caught_on": [sentence]})


def _season(lake: KnownLake, entry: PartyOpened) -> KnownSeason:
    if entry.season:
        season = next((one for one in lake.seasons if one.name == entry.season), None)
    else:
        season = season_on(lake.seasons, entry.party.caught_on or entry.written_at.date())
    if season is None:
        sentence = f"{lake.name} has no season yet. Ask the biologist."
        raise Refused("no_season", {"caught_on": [sentence]})
    return season


def _donor(lake: KnownLake, entry: PartyOpened) -> tuple[int | None, str]:
    """Return the row or else the name of the donor, who is not always the author.

    A guide gives their own fish, a clerk logs other people's.
    """
    if entry.donor_name and lake.for_others:
        return None, entry.donor_name
    if entry.interview_key:
        return None, ""
    return lake.own_donor, ""
