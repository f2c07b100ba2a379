"""The scenario's lab beside its readings: pictures, preparations, sessions, reference set."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID, uuid5

import numpy as np

from samples.lab.services import (
    OtolithFacts,
    ReadingNeedsConfirmation,
    SessionChoice,
    add_preparation,
    add_step,
    ask_for_section,
    close_session,
    open_session,
    save_otolith,
    set_radii,
    spoil,
)
from samples.lab.services.quality import add_reference, ask_for_reading
from samples.management.scenario.otolith_pictures import (
    UM_PER_PX,
    OtolithPicture,
    draw_micrometer,
    draw_otolith,
    micrometer_ends,
)
from samples.management.scenario.programme import BIOLOGIST, SECOND_READER
from samples.management.scenario.readings import draw_radii, true_count, true_margin
from samples.management.scenario.records import FishRecord, PartyRecord, Scenario
from samples.models import (
    STEPS,
    Age,
    Lake,
    MarkedRadius,
    Objective,
    Picture,
    Preparation,
    Reading,
    ReadingSession,
    ReferenceOtolith,
    SessionOtolith,
    SessionPurpose,
    User,
    Vial,
)
from samples.pictures.services import file_picture, keep_picture, set_scale

At = Callable[..., datetime]
Kind = Preparation.Kind

OBJECTIVE = "Stereo 20x, camera 2"
GATE_ON, PICTURES_ON = date(2026, 6, 2), date(2026, 10, 12)
CLOSED_ON, OPEN_ON = date(2026, 10, 14), date(2026, 10, 19)
PICTURED, DISPUTED = 4, 2
REFERENCE_OTOLITHS, IN_A_SESSION, READ_OF_OPEN = 12, 6, 2
SECONDS = (41, 28, 35, 52, 24, 38)


class LabRoom:
    """Puts life into the pages of the lab, by the services that people use."""

    def __init__(self, lake: Lake, scenario: Scenario, people: Mapping[str, User], at: At) -> None:
        self.lake = lake
        self.biologist, self.reader = people[BIOLOGIST], people[SECOND_READER]
        self.at = at
        self.namespace = scenario.parties[0].party_id
        logged = {one.entry_id: (party, one) for party in scenario.parties for one in party.fish}
        self.fish_of = {
            (vial.season_year, vial.sequence): logged[vial.logged_fish]
            for vial in scenario.vials
            if vial.logged_fish in logged
        }

    def load(self) -> None:
        measured = self._measured()
        self._pictures(measured)
        self._preparations(measured)
        self._reference_set()
        for reader in (self.biologist, self.reader):
            self._gate(reader)
        self._sessions()

    def _measured(self) -> list[Reading]:
        """Return late readings of two to six annuli whose radii were measured.

        The first of them are of otoliths that wait for a decision.
        """
        found = Reading.objects.filter(
            vial__lake=self.lake, edge_um__isnull=False, annuli__range=(2, 6), reader=self.biologist
        ).select_related("vial__season")
        late = found.order_by("-sitting_on", "vial__number")
        to_decide = late.filter(
            vial__fish__age__standing=Age.Standing.TO_SETTLE, vial__readings__reader=self.reader
        )
        return [*to_decide[:2], *late.exclude(pk__in=to_decide)[:PICTURED]]

    # ---------- Pictures ----------

    def _pictures(self, measured: list[Reading]) -> None:
        with TemporaryDirectory(prefix="earstone-demo-") as folder:
            self.file = Path(folder) / "picture.jpg"
            objective = self._scaled_objective()
            for place, reading in enumerate(measured):
                measured_um = reading.radii.order_by("annulus").values_list("radius_um", flat=True)
                radii = (*measured_um, reading.edge_um or 0)
                self._picture_of(reading.vial, radii, objective, place)
            for place, vial in enumerate(self._disputed(), start=len(measured)):
                party, fish = self._truth(vial)
                shown = true_count(fish, party.caught_on)
                radii = draw_radii(np.random.default_rng(place), party.caught_on, fish, shown)
                self._picture_of(vial, radii, objective, place)
            self._kept("bench-test.jpg", draw_otolith((330, 520), 700, seed=90).data, objective)

    def _disputed(self) -> list[Vial]:
        """Return late vials whose two readers counted one apart, both on the whole otolith."""
        waiting = Vial.objects.filter(lake=self.lake, fish__age__standing=Age.Standing.TO_SETTLE)
        seen = waiting.exclude(readings__edge_um__isnull=False).order_by("-number")
        counts = {
            vial: sorted(one.annuli for one in vial.readings.all() if one.method == Kind.WHOLE)
            for vial in seen.select_related("season").prefetch_related("readings")
        }
        return [
            vial
            for vial, found in counts.items()
            if len(found) == 2 and found[0] > 1 and found[1] - found[0] == 1
        ][:DISPUTED]

    def _kept(
        self, name: str, data: bytes, objective: Objective, *, is_micrometer: bool = False
    ) -> Picture:
        self.file.write_bytes(data)
        kept = keep_picture(
            self.file,
            name=name,
            lake=self.lake,
            author=self.reader,
            now=self.at(PICTURES_ON, 9),
            objective=objective,
            is_micrometer=is_micrometer,
        )
        return kept.picture

    def _scaled_objective(self) -> Objective:
        now = self.at(PICTURES_ON, 8)
        objective = Objective(lake=self.lake, name=OBJECTIVE, added_by=self.biologist, added_at=now)
        micrometer = self._kept(
            "stage-micrometer.jpg", draw_micrometer(), objective, is_micrometer=True
        )
        first, last = micrometer_ends()
        set_scale(
            micrometer=micrometer,
            first=first,
            last=last,
            distance_um=5000,
            author=self.biologist,
            now=now,
        )
        return objective

    def _picture_of(
        self, vial: Vial, radii_um: Sequence[int], objective: Objective, seed: int
    ) -> None:
        """Picture an otolith by the radii of its annuli and edge, marked by all who read it."""
        *annuli_um, edge_um = radii_um
        drawn = draw_otolith(annuli_um, edge_um, seed=seed)
        kept = self._kept(f"{vial.number}-left.jpg", drawn.data, objective)
        picture = file_picture(
            picture=kept,
            vial=vial,
            side=Picture.Side.LEFT,
            note="Whole, in water, reflected light",
            objective=objective,
            actor=self.reader,
            now=self.at(PICTURES_ON, 10),
        )
        for reading in vial.readings.filter(method=Kind.WHOLE):
            annuli_px = annuli_as_counted(drawn.annuli_px, reading.annuli)
            if annuli_px:
                self._mark(reading, picture, drawn, annuli_px)

    @staticmethod
    def _mark(
        reading: Reading, picture: Picture, drawn: OtolithPicture, annuli_px: tuple[float, ...]
    ) -> None:
        MarkedRadius.objects.create(
            reading=reading,
            picture=picture,
            core_x_px=drawn.core[0],
            core_y_px=drawn.core[1],
            edge_x_px=drawn.edge[0],
            edge_y_px=drawn.edge[1],
            annuli_px=list(annuli_px),
            um_per_px=picture.um_per_px,
        )
        if reading.edge_um is None:
            radii_um = [round(at * UM_PER_PX) for at in annuli_px]
            set_radii(reading, radii_um, edge_um=round(drawn.edge_px * UM_PER_PX))

    # ---------- Preparations ----------

    def _preparations(self, measured: list[Reading]) -> None:
        for place, reading in enumerate(measured[:3], start=1):
            facts = {"side": "left", "slide_box": "W-1", "box_place": place}
            self._prepare(reading.vial, Kind.WHOLE, facts, steps=0)
        sectioned = self._read_vials("section")
        for place, vial in enumerate(sectioned[:2], start=1):
            facts = {"side": "right", "slide": f"26-{place:03d}"}
            facts |= {"slide_box": "S-1", "box_place": place}
            self._prepare(vial, Kind.SECTION, facts, steps=4)
        for vial in self._read_vials("crack_burn")[:1]:
            self._prepare(vial, Kind.CRACK_AND_BURN, {"side": "left"}, steps=2)
        begun, broken, *waiting = sectioned[2:6]
        self._prepare(begun, Kind.SECTION, {"side": "left"}, steps=2)
        lost = self._prepare(broken, Kind.SECTION, {"condition": "broken"}, steps=3)
        spoil(
            preparation=lost,
            why="Ground through the core",
            actor=self.reader,
            now=self.at(CLOSED_ON, 16),
        )
        for vial in waiting:
            ask_for_section(vial, actor=self.reader, now=self.at(CLOSED_ON, 15), why="Edge crowded")

    def _read_vials(self, method: str) -> list[Vial]:
        found = Vial.objects.filter(lake=self.lake, readings__method=method, preparations=None)
        return list(found.order_by("-season__number_year", "number").distinct()[:8])

    def _prepare(
        self, vial: Vial, kind: str, facts: dict[str, object], *, steps: int
    ) -> Preparation:
        made = add_preparation(
            vial=vial, kind=kind, facts=facts, actor=self.reader, now=self.at(PICTURES_ON, 11)
        )
        for place, step in enumerate(STEPS[Kind(kind)][:steps]):
            day = PICTURES_ON + timedelta(days=place)
            add_step(
                preparation=made,
                kind=step,
                done_on=day,
                actor=self.reader,
                now=self.at(day, 13),
                today=OPEN_ON,
            )
        return made

    # ---------- Reference set and sessions ----------

    def _reference_set(self) -> None:
        agreed = (
            Vial.objects.filter(lake=self.lake, season__number_year=GATE_ON.year - 1)
            .filter(readings__reader=self.reader, fish__isnull=False)
            .order_by("number")
            .distinct()
        )
        for vial in agreed[:REFERENCE_OTOLITHS]:
            _, fish = self._truth(vial)
            add_reference(
                vial=vial,
                age_years=fish.true_age_yr,
                kind=ReferenceOtolith.Kind.CONSENSUS,
                source="Two readers and a section, winter 2025-26",
                actor=self.biologist,
                now=self.at(GATE_ON, 8),
            )
        hard = Reading.objects.filter(vial__lake=self.lake, readability=3).order_by("-read_at")[0]
        ask_for_reading(
            vial=hard.vial,
            note="Check near the core?",
            actor=self.biologist,
            now=self.at(CLOSED_ON, 9),
        )

    def _gate(self, reader: User) -> None:
        session = self._opened(reader, SessionPurpose.REFERENCE, GATE_ON, REFERENCE_OTOLITHS)
        for place, otolith in enumerate(session.otoliths.order_by("place")):
            # The second reader takes one check for an annulus.
            more = int(reader == self.reader and place == REFERENCE_OTOLITHS // 2)
            self._save(otolith, GATE_ON, place, more=more)
        close_session(session=session, actor=reader, now=self.at(GATE_ON, 15))

    def _sessions(self) -> None:
        closed = self._opened(self.reader, SessionPurpose.NEXT, CLOSED_ON, IN_A_SESSION)
        for place, otolith in enumerate(closed.otoliths.order_by("place")):
            self._save(otolith, CLOSED_ON, place)
        close_session(session=closed, actor=self.reader, now=self.at(CLOSED_ON, 15))
        still_open = self._opened(self.biologist, SessionPurpose.NEXT, OPEN_ON, IN_A_SESSION)
        for place, otolith in enumerate(still_open.otoliths.order_by("place")[:READ_OF_OPEN]):
            self._save(otolith, OPEN_ON, place)

    def _opened(
        self, reader: User, purpose: SessionPurpose, day: date, count: int
    ) -> ReadingSession:
        choice = SessionChoice(
            purpose=purpose, method=Kind.WHOLE, count=count, side="left", light="reflected"
        )
        return open_session(
            lake=self.lake,
            reader=reader,
            choice=choice,
            request_id=self._named(f"session/{reader.pk}/{day}"),
            now=self.at(day, 9),
            seed=day.toordinal(),
        )

    def _named(self, name: str) -> UUID:
        return uuid5(self.namespace, name)

    def _save(self, otolith: SessionOtolith, day: date, place: int, *, more: int = 0) -> None:
        party, fish = self._truth(otolith.vial)
        annuli = true_count(fish, party.caught_on) + more
        self._save_facts(
            otolith,
            OtolithFacts(
                annuli=annuli,
                margin=true_margin(fish, party.caught_on) if annuli else None,
                readability=1 + place % 2,
                side="left",
                light="reflected",
                seconds=SECONDS[place % len(SECONDS)],
            ),
            self.at(day, 9) + timedelta(minutes=place + 1),
        )

    def _save_facts(self, otolith: SessionOtolith, facts: OtolithFacts, now: datetime) -> None:
        try:
            save_otolith(otolith=otolith, facts=facts, now=now)
        except ReadingNeedsConfirmation as asked:
            codes = tuple(question.code for question in asked.questions)
            save_otolith(otolith=otolith, facts=replace(facts, confirmed=codes), now=now)

    def _truth(self, vial: Vial) -> tuple[PartyRecord, FishRecord]:
        return self.fish_of[vial.season.number_year, vial.sequence]


def annuli_as_counted(annuli_px: tuple[float, ...], count: int) -> tuple[float, ...]:
    """Return where a reader saw annuli: one too few is the last, one too many a check within."""
    missed = len(annuli_px) - count
    if missed == -1:
        return (annuli_px[0] * 0.6, *annuli_px)
    return annuli_px[:count] if missed in (0, 1) else ()
