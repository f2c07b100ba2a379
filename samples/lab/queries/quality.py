"""How well readers read: scores on the reference set, and how far second readings have come."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from samples.lab import rules
from samples.lab.queries import species_at
from samples.models import (
    USUAL_SECOND_PERCENT,
    Arm,
    Lake,
    OtolithOutcome,
    Reading,
    ReadingStream,
    ReferenceOtolith,
    Season,
    SecondReadingDraw,
    SecondReadingPlan,
    SecondReadingRequest,
    SessionOtolith,
    SessionPurpose,
    User,
)

if TYPE_CHECKING:
    from samples.science.reader_gate import Drift, Gate


@dataclass(frozen=True, slots=True)
class ReferenceReading:
    """One reading of a reference otolith, in years of age."""

    vial_id: int
    read_at: datetime
    at_gate: bool
    reference: int
    kind: str
    age: int


@dataclass(frozen=True, slots=True)
class SessionScore:
    """The reference otoliths of one session after the gate."""

    opened_at: datetime
    n: int
    exact: int
    bias: float


@dataclass(slots=True)
class ReaderScores:
    """One reader on the reference set this season."""

    reader: User
    readings: list[ReferenceReading] = field(default_factory=list)
    since: list[SessionScore] = field(default_factory=list)
    # The aging rule left the age open, or the otolith was set aside.
    not_aged: int = 0
    gate: Gate | None = None
    drift: Drift | None = None

    @property
    def known(self) -> int:
        return sum(one.kind == ReferenceOtolith.Kind.KNOWN for one in self._at_gate)

    @property
    def consensus(self) -> int:
        return len(self._at_gate) - self.known

    @property
    def _at_gate(self) -> list[ReferenceReading]:
        return [one for one in self.readings if one.at_gate]


@dataclass(frozen=True, slots=True)
class ArmProgress:
    """How many otoliths of an arm were read, drawn for a second reading, and read twice."""

    arm: Arm
    read: int
    drawn: int
    done: int


def season_now(lake: Lake, today: date) -> Season | None:
    """Return the season of today, or the last one that began."""
    return (
        Season.objects.filter(lake=lake, starts_on__lte=today).order_by("-starts_on", "-pk").first()
    )


def second_percent(lake: Lake) -> int:
    plan = SecondReadingPlan.objects.filter(lake=lake).first()
    return plan.percent if plan else USUAL_SECOND_PERCENT


def second_progress(lake: Lake, season: Season | None) -> list[ArmProgress]:
    """Return how far the random second readings of a season have come, by arm."""
    second = Reading.objects.filter(vial=OuterRef("vial"), stream=ReadingStream.SECOND)
    rows = {
        row["arm"]: row
        for row in SecondReadingDraw.objects.filter(season=season)
        .annotate(is_done=Exists(second))
        .order_by()
        .values("arm")
        .annotate(
            read=Count("pk"),
            drawn=Count("pk", filter=Q(is_drawn=True)),
            done=Count("pk", filter=Q(is_drawn=True, is_done=True)),
        )
    }
    arms = Arm.objects.filter(lake=lake).order_by("position", "name")
    return [
        ArmProgress(arm, rows[arm.pk]["read"], rows[arm.pk]["drawn"], rows[arm.pk]["done"])
        for arm in arms
        if arm.pk in rows
    ]


def open_requests(lake: Lake) -> QuerySet[SecondReadingRequest]:
    """Return what was sent for another reading by hand and not read since."""
    found = SecondReadingRequest.objects.filter(vial__lake=lake, closed_at__isnull=True)
    return found.select_related("vial", "asked_by").order_by("asked_at", "pk")


def reference_set(lake: Lake) -> QuerySet[ReferenceOtolith]:
    """Return the reference set as it stands, youngest first."""
    found = ReferenceOtolith.objects.filter(vial__lake=lake, retired_at__isnull=True)
    return found.select_related("vial").order_by("age_years", "vial__number")


def scores_at(lake: Lake, season: Season | None, *, reader: User | None) -> list[ReaderScores]:
    """Score readers on the reference set since the season began: one of them, or everybody."""
    found: dict[int, ReaderScores] = {}
    rows = _reference_otoliths(lake, season, reader)
    species = species_at(lake)
    for otolith in rows:
        person = otolith.session.reader
        scores = found.setdefault(person.pk, ReaderScores(person))
        reading = getattr(otolith, "reading", None)
        fish = otolith.vial.fish
        age = None
        if reading is not None:
            age = rules.age_of_reading(reading, fish, species.get(fish.species_id)).age
        if reading is None or age is None:
            scores.not_aged += 1
            continue
        scores.readings.append(
            ReferenceReading(
                vial_id=otolith.vial_id,
                read_at=otolith.session.opened_at,
                at_gate=otolith.session.purpose == SessionPurpose.REFERENCE,
                reference=otolith.vial.reference.age_years,
                kind=otolith.vial.reference.kind,
                age=age,
            )
        )
    for scores in found.values():
        _judge(scores)
    return sorted(found.values(), key=lambda one: str(one.reader))


def _reference_otoliths(
    lake: Lake, season: Season | None, reader: User | None
) -> Iterable[SessionOtolith]:
    rows = SessionOtolith.objects.filter(
        session__lake=lake, stream=ReadingStream.REFERENCE, vial__fish__isnull=False
    ).exclude(outcome=OtolithOutcome.WAITING)
    if reader is not None:
        rows = rows.filter(session__reader=reader)
    if season is not None:
        rows = rows.filter(session__opened_at__date__gte=season.starts_on)
    return rows.select_related(
        "session__reader", "vial__reference", "vial__fish", "reading"
    ).order_by("session__opened_at", "place")


def _judge(scores: ReaderScores) -> None:
    # Pages that score nobody do without numpy.
    from samples.science.reader_gate import drift_since_gate, judge_reader

    # Read again at the gate, the last reading of an otolith counts.
    gate = {one.vial_id: one for one in scores.readings if one.at_gate}
    before = ([one.reference for one in gate.values()], [one.age for one in gate.values()])
    mixed = [one for one in scores.readings if not one.at_gate]
    after = ([one.reference for one in mixed], [one.age for one in mixed])
    if gate:
        scores.gate = judge_reader(*before)
    if gate and mixed:
        scores.drift = drift_since_gate(*before, *after)
    for day in sorted({one.read_at for one in mixed}):
        rows = [one for one in mixed if one.read_at == day]
        off = [one.age - one.reference for one in rows]
        scores.since.append(SessionScore(day, len(off), off.count(0), sum(off) / len(off)))
