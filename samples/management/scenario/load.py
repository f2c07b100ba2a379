"""Put a draw of the scenario into the database, by the same services that people use."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime, time
from uuid import uuid5
from zoneinfo import ZoneInfo

from samples.lab.services import ReadingNeedsConfirmation, decide_age, save_reading, set_radii
from samples.management.scenario.draw import draw
from samples.management.scenario.lab_room import LabRoom
from samples.management.scenario.load_waters import (
    load_species,
    make_figures,
    make_lake,
    make_people,
    make_regulations,
    make_seasons,
    make_targets,
)
from samples.management.scenario.programme import (
    BIOLOGIST,
    OFFICE,
    PEOPLE,
    SEASONS,
    SECOND_READER,
)
from samples.management.scenario.records import (
    ClashRecord,
    FishRecord,
    PartyRecord,
    ReadingRecord,
    Scenario,
    VialFate,
)
from samples.management.scenario.second_readings import leave_past_seasons, mark_as_drawn
from samples.management.scenario.storage import box_named, put_in_trays, slot_name
from samples.management.scenario.truth import ARMS, TIME_ZONE
from samples.models import (
    OUT_OF_USE,
    Fish,
    HeldEntry,
    Lake,
    User,
    Vial,
    atomic_with_revision,
)
from samples.ramp.entry import (
    Entry,
    FishFacts,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyFacts,
    PartyOpened,
    UnmeasuredCounted,
)
from samples.ramp.services import give_other_number, ingest
from samples.rules import vial_number
from samples.rules.vial_number import read_vial
from samples.units import LengthUnit, Measured, to_text
from samples.vials.geometry import STOCKS
from samples.vials.services import issue, make_run, mark_lost, receive, void_vials

Say = Callable[[str], object]


@atomic_with_revision()
def load_scenario(*, password: str, today: date, say: Say) -> Lake:
    """Draw the scenario and load it whole or not at all. ``say`` is told how far it is.

    The last season ends some time after ``today``, so that a fish logged now is in season.
    """
    say("Drawing three seasons of Lake Orrinbeck ...")
    scenario = draw()
    loader = _Loader(scenario, password=password, today=today)
    for season in SEASONS:
        parties = [party for party in scenario.parties if party.season_year == season.year]
        fish = sum(len(party.fish) for party in parties)
        say(f"{season.year}: {len(parties)} parties, {fish} fish ...")
        loader.print_and_issue(season.year)
        loader.log(parties)
        loader.bring_in(season.year)
    readings = len(scenario.readings)
    say(f"Reading otoliths: {readings} readings ...")
    loader.read()
    say(f"Loaded: {Fish.objects.count()} fish, {Vial.objects.count()} vials.")
    return loader.lake


def at_noon(day: date, hour: int = 12) -> datetime:
    return datetime.combine(day, time(hour), ZoneInfo(TIME_ZONE))


class _Loader:
    """Knows the rows that the records speak of."""

    def __init__(self, scenario: Scenario, *, password: str, today: date) -> None:
        self.scenario = scenario
        self.species = load_species()
        self.lake = make_lake(self.species)
        self.seasons = make_seasons(self.lake, today)
        self.people = make_people(self.lake, password)
        make_regulations(self.lake, self.species)
        make_targets(self.lake, self.seasons, self.species)
        biologist = self.people[BIOLOGIST]
        make_figures(self.lake, self.seasons, self.species, actor=biologist, at=at_noon)
        self.donor_names = {person.key: person.name for person in PEOPLE}
        self.reach_names = {
            (arm.name, reach.code): reach.name for arm in ARMS for reach in arm.reaches
        }
        self.numbers: dict[tuple[int, int], str] = {}

    def print_and_issue(self, year: int) -> None:
        stock = next(iter(STOCKS))
        for run in self._of(self.scenario.label_runs, year):
            made = make_run(
                season=self.seasons[year],
                count=run.last_sequence - run.first_sequence + 1,
                stock=stock,
                first_position=1,
                request_id=uuid5(self.scenario.parties[0].party_id, f"{year}/{run.first_sequence}"),
                actor=self.people[run.printed_by],
                now=at_noon(run.printed_on),
            )
            rows = made.vials.values_list("sequence", "number")
            self.numbers |= {(year, sequence): number for sequence, number in rows}
        for kit in self._of(self.scenario.kits, year):
            issue(
                lake=self.lake,
                first=self.numbers[year, kit.first_sequence],
                last=self.numbers[year, kit.last_sequence],
                to=self.people[kit.issued_to],
                actor=self.people[kit.issued_by],
                now=at_noon(kit.issued_on),
            )

    def log(self, parties: Iterable[PartyRecord]) -> None:
        for party in parties:
            at = party.closed_at or party.opened_at
            ingest(list(self._entries(party)), author=self.people[party.logged_by], now=at)
        for clash in self.scenario.clashes:
            if clash.settled_on is not None:
                self._settle(clash)

    def _entries(self, party: PartyRecord) -> Iterable[Entry]:
        person = self.people.get(party.donor or "")
        donor_logs = person is not None and party.donor == party.logged_by
        yield PartyOpened(
            entry_id=party.party_id,
            party_id=party.party_id,
            written_at=party.opened_at,
            lake=self.lake.slug,
            party=self._facts(party, party.arm, party.reach),
            donor_name="" if donor_logs else self.donor_names.get(party.donor or "", ""),
            interview_key=party.interview_key or "",
        )
        here = (party.arm, party.reach)
        for fish in party.fish:
            if (fish.arm, fish.reach) != here:
                here = (fish.arm, fish.reach)
                yield PartyChanged(
                    entry_id=uuid5(fish.entry_id, "moved"),
                    party_id=party.party_id,
                    written_at=fish.logged_at,
                    party=self._facts(party, *here),
                    moved=True,
                )
            yield self._fish(party, fish)
        for counted in party.unmeasured:
            yield UnmeasuredCounted(
                entry_id=counted.entry_id,
                party_id=party.party_id,
                written_at=party.opened_at,
                species=counted.species,
                count=counted.count,
            )
        if party.closed_at is not None:
            last = party.last_sequence
            yield PartyClosed(
                entry_id=uuid5(party.party_id, "closed"),
                party_id=party.party_id,
                written_at=party.closed_at,
                count_in_hand=party.closed_count,
                last_number=f"{last:04d}" if last else "",
            )

    def _facts(self, party: PartyRecord, arm: str, reach: str) -> PartyFacts:
        return PartyFacts(
            arm=arm,
            reach=self.reach_names.get((arm, reach), reach),
            caught_on=party.caught_on,
            method=party.method,
            how_chosen=party.how_chosen,
            every_nth=party.every_nth,
            fish_in_box=party.fish_in_box,
            kept=party.kept_state,
            net_nights=party.net.nights if party.net else None,
            net_mesh_mm=party.net.mesh_mm if party.net else None,
        )

    def _fish(self, party: PartyRecord, fish: FishRecord) -> FishLogged:
        number = self.numbers[party.season_year, fish.vial_sequence] if fish.vial_sequence else ""
        length = to_text(fish.length_hundredths_mm, LengthUnit.INCH)
        return FishLogged(
            entry_id=fish.entry_id,
            party_id=party.party_id,
            written_at=fish.logged_at,
            # Only what waits for the office is read again from its words.
            payload={
                "kind": "fish",
                "schema": 1,
                "entry_id": str(fish.entry_id),
                "party_id": str(party.party_id),
                "written_at": fish.logged_at.isoformat(),
                "vial": vial_number.grouped(number) if number else "",
                "species": fish.species,
                "length": length,
                "unit": LengthUnit.INCH.value,
                "sex": fish.sex,
                "confirmed": list(fish.slips_confirmed),
            },
            fish=FishFacts(
                vial=read_vial(number),
                species=fish.species,
                length=Measured(fish.length_hundredths_mm, LengthUnit.INCH, length),
                sex=fish.sex,
                told_by=fish.told_by,
                spines=fish.spines,
                confirmed=fish.slips_confirmed,
            ),
        )

    def _settle(self, clash: ClashRecord) -> None:
        held = HeldEntry.objects.filter(
            entry_id=clash.second_entry_id, state=HeldEntry.State.OPEN
        ).first()
        if held is not None and clash.settled_on is not None:
            give_other_number(
                held,
                number=self.numbers[clash.season_year, clash.right_sequence],
                note="The slip in the vial says so.",
                actor=self.people[OFFICE],
                now=at_noon(clash.settled_on),
            )

    def bring_in(self, year: int) -> None:
        """Receive what came in, and bring each vial as far as it has come."""
        office = self.people[OFFICE]
        fates = self._of(self.scenario.vials, year)
        for fate in fates:
            if fate.received_on is not None:
                receive(
                    lake=self.lake,
                    number=self.numbers[year, fate.sequence],
                    content=fate.content or "",
                    actor=office,
                    now=at_noon(fate.received_on),
                )
        rows = {vial.sequence: vial for vial in Vial.objects.filter(season=self.seasons[year])}
        for fate in fates:
            self._on_the_bench(rows[fate.sequence], fate, office)

    def _on_the_bench(self, vial: Vial, fate: VialFate, office: User) -> None:
        gone = at_noon(fate.gone_on) if fate.gone_on else None
        if gone and fate.state in OUT_OF_USE:
            self._gone(vial, fate, office, gone)
            return
        steps = [
            (fate.clearing_from, Vial.State.CLEARING),
            (fate.ready_on, Vial.State.READY),
        ]
        vial.clearing_from, vial.ready_on = fate.clearing_from, fate.ready_on
        for day, state in steps:
            if day is not None and day <= self.scenario.today:
                vial.state = state
                vial._history_date = at_noon(day)  # type: ignore[attr-defined]
                vial._history_user = office  # type: ignore[attr-defined]
                vial.save()

    def _gone(self, vial: Vial, fate: VialFate, office: User, gone: datetime) -> None:
        number = vial.number
        if fate.state == Vial.State.VOID:
            void_vials(
                lake=self.lake,
                first=number,
                last=number,
                note=fate.gone_why,
                actor=office,
                now=gone,
            )
        else:
            mark_lost(lake=self.lake, number=number, note=fate.gone_why, actor=office, now=gone)

    def read(self) -> None:
        """Save the readings in the order in which they were made, then what was decided."""
        for reading in self.scenario.readings:
            vial = Vial.objects.get(number=self.numbers[reading.season_year, reading.sequence])
            if reading.reader == SECOND_READER:
                mark_as_drawn(vial)
            self._save(vial, reading, ())
        leave_past_seasons(self.lake, SEASONS[-1].year)
        for decision in self.scenario.decisions:
            number = self.numbers[decision.season_year, decision.sequence]
            fish = Fish.objects.filter(vial__number=number).first()
            if decision.age_yr is not None and fish is not None:
                decide_age(
                    fish=fish,
                    age_years=decision.age_yr,
                    note=decision.note,
                    actor=self.people[decision.decided_by],
                    now=at_noon(decision.decided_on),
                )
        self._archive()
        put_in_trays(self.lake, by=self.people[OFFICE], at=at_noon)
        LabRoom(self.lake, self.scenario, self.people, at_noon).load()

    def _save(self, vial: Vial, reading: ReadingRecord, confirmed: tuple[str, ...]) -> None:
        try:
            saved = save_reading(
                vial=vial,
                reader=self.people[reading.reader],
                annuli=reading.annuli,
                margin=reading.margin,
                method=reading.method,
                readability=reading.readability,
                length_was_hidden=reading.blind,
                sitting_on=reading.read_at.astimezone(ZoneInfo(TIME_ZONE)).date(),
                now=reading.read_at,
                note=reading.note,
                side=reading.side,
                light=reading.light,
                confirmed=confirmed,
            )
        except ReadingNeedsConfirmation as asked:
            self._save(vial, reading, tuple(question.code for question in asked.questions))
            return
        if len(reading.radii_um) == reading.annuli > 0:
            set_radii(saved.reading, reading.radii_um, edge_um=reading.edge_um)

    def _archive(self) -> None:
        kept = {
            self.numbers[fate.season_year, fate.sequence]: fate
            for fate in self.scenario.vials
            if fate.state == Vial.State.ARCHIVED
        }
        for vial in Vial.objects.filter(number__in=kept, state=Vial.State.READ):
            fate = kept[vial.number]
            if fate.archived_on is None or fate.box is None or fate.slot is None:
                continue
            when, biologist = at_noon(fate.archived_on), self.people[BIOLOGIST]
            vial.state = Vial.State.ARCHIVED
            vial.box = box_named(self.lake, fate.box, by=biologist, now=when)
            vial.archive_box, vial.archive_slot = vial.box.name, slot_name(fate.slot)
            vial.archived_at, vial.archived_by = when, biologist
            vial._history_date = when  # type: ignore[attr-defined]
            vial._history_user = biologist  # type: ignore[attr-defined]
            vial.save()

    @staticmethod
    def _of(records: Iterable, year: int) -> list:  # type: ignore[type-arg]
        return [record for record in records if record.season_year == year]
