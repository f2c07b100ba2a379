"""Preparations of otoliths: what is to be sectioned, what is under way, and those of one vial."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Exists, Max, OuterRef, Q, QuerySet

from samples.accounts.selectors import vials_at
from samples.models import (
    STEPS,
    Lake,
    Preparation,
    PreparationStep,
    SectionRequest,
    User,
    Vial,
)


@dataclass(frozen=True)
class PreparationRow:
    """One preparation with the steps that were done, and what comes next."""

    preparation: Preparation
    steps: list[PreparationStep]

    @cached_property
    def steps_to_come(self) -> list[PreparationStep.Kind]:
        """Return the steps that were not done yet, in their usual order."""
        done = {one.kind for one in self.steps}
        return [kind for kind in STEPS[Preparation.Kind(self.preparation.kind)] if kind not in done]

    @property
    def is_ready(self) -> bool:
        """Return whether it can be read: its last step is done, and nothing spoiled it."""
        last = STEPS[Preparation.Kind(self.preparation.kind)][-1:]
        is_made = not last or last[0] not in self.steps_to_come
        return is_made and self.preparation.spoiled_at is None


@dataclass(frozen=True, slots=True)
class VialToSection:
    """A vial on the list of those to section, and who asked for it."""

    vial: Vial
    requests: list[SectionRequest]


def rows_of(preparations: Iterable[Preparation]) -> list[PreparationRow]:
    """Lay their steps beside preparations that came with them."""
    return [
        PreparationRow(
            one, sorted(one.steps.all(), key=lambda step: (step.done_on, step.noted_at, step.pk))
        )
        for one in preparations
    ]


def _with_steps(preparations: QuerySet[Preparation]) -> QuerySet[Preparation]:
    return preparations.select_related("vial", "made_by", "spoiled_by").prefetch_related(
        "steps__done_by"
    )


def preparations_of(vial: Vial) -> list[PreparationRow]:
    """Return the preparations of a vial, in order of number."""
    return rows_of(_with_steps(vial.preparations.order_by("number")))


def under_way(person: User, lake: Lake) -> list[PreparationRow]:
    """Return preparations that are begun and cannot be read yet, the longest begun first."""
    unfinished = Q()
    for kind, steps in STEPS.items():
        if steps:
            last = PreparationStep.objects.filter(preparation=OuterRef("pk"), kind=steps[-1])
            unfinished |= Q(~Exists(last), kind=kind)
    begun = Preparation.objects.filter(
        unfinished, vial__in=vials_at(person, lake), spoiled_at__isnull=True
    )
    return rows_of(_with_steps(begun.order_by("made_at", "pk")))


def vials_to_section(person: User, lake: Lake) -> list[VialToSection]:
    """Return the vials of which somebody asks for a section, the first to ask first."""
    requests = SectionRequest.objects.filter(
        vial__in=vials_at(person, lake), preparation__isnull=True, dropped_at__isnull=True
    )
    rows: dict[int, VialToSection] = {}
    related = ("vial__fish__species", "vial__fish__arm", "asked_by")
    for one in requests.select_related(*related).order_by("asked_at", "pk"):
        rows.setdefault(one.vial_id, VialToSection(one.vial, [])).requests.append(one)
    return list(rows.values())


def requests_of(vial: Vial) -> QuerySet[SectionRequest]:
    """Return who ever asked for a section of a vial, the first first."""
    asked = SectionRequest.objects.filter(vial=vial).select_related(
        "asked_by", "dropped_by", "preparation"
    )
    return asked.order_by("asked_at", "pk")


def readable_preparations(vials: Iterable[Vial]) -> dict[int, list[Preparation]]:
    """Return the preparations of vials that are not spoiled, by vial, in order of number."""
    found: dict[int, list[Preparation]] = {}
    rows = Preparation.objects.filter(vial__in=list(vials), spoiled_at__isnull=True)
    for one in rows.order_by("number"):
        found.setdefault(one.vial_id, []).append(one)
    return found


def next_place(lake: Lake) -> tuple[str, int]:
    """Return the slide box that was used last, if any, and the place after its last one."""
    last = Preparation.objects.filter(lake=lake, box_place__isnull=False).order_by(
        "-made_at", "-pk"
    )
    newest = last.first()
    if newest is None:
        return "", 1
    return newest.slide_box, next_place_in(lake.pk, newest.slide_box)


def next_place_in(lake_id: int, slide_box: str) -> int:
    """Return the place after the last one that is taken in a slide box."""
    taken = Preparation.objects.filter(
        lake=lake_id, slide_box__iexact=slide_box, box_place__isnull=False
    )
    return (taken.aggregate(last=Max("box_place"))["last"] or 0) + 1
