"""Preparations of otoliths, made step by step, each step dated and signed.

The vial's row is locked first, always: two people who prepare one vial take turns.
"""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import IntegrityError, transaction

from samples.lab.queries import NOT_TO_BE_READ
from samples.lab.queries.preparing import next_place_in
from samples.lab.services.errors import CannotPrepare
from samples.lab.services.sections import open_requests
from samples.models import (
    OUT_OF_USE,
    STEPS,
    Preparation,
    PreparationStep,
    SectionRequest,
    User,
    Vial,
    atomic_with_revision,
)
from samples.models.signing import delete_signed, save_signed
from samples.rules.vial_number import grouped

Kind = Preparation.Kind


@atomic_with_revision()
def add_preparation(
    *, vial: Vial, kind: str, facts: Mapping[str, Any], actor: User, now: datetime
) -> Preparation:
    """Begin a preparation of a vial; a section crosses the vial off the list of those to section.

    ``facts`` are what `change_preparation` takes.

    :raises CannotPrepare: if the vial holds no otolith here, or the slide or its place is taken
    """
    vial = Vial.objects.select_for_update().get(pk=vial.pk)
    _check_otolith(vial)
    last = vial.preparations.order_by("-number").first()
    made = Preparation(
        vial=vial,
        lake_id=vial.lake_id,
        number=(last.number if last else 0) + 1,
        kind=kind,
        made_by=actor,
        made_at=now,
    )
    _set(made, facts)
    _save(made, actor, now)
    if kind == Kind.SECTION:
        _cross_off(made, actor, now)
    return made


def _check_otolith(vial: Vial) -> None:
    words = grouped(vial.number)
    if vial.state in OUT_OF_USE:
        raise CannotPrepare("out_of_use", f"Vial {words} is {vial.get_state_display().lower()}.")
    if vial.received_at is None:
        raise CannotPrepare("not_received", f"Receive vial {words} first.")
    if vial.content in NOT_TO_BE_READ:
        words = NOT_TO_BE_READ[Vial.Content(vial.content)]
        raise CannotPrepare("no_otolith", f"{words} Fix that under Receive vials first.")


@atomic_with_revision()
def change_preparation(
    *, preparation: Preparation, facts: Mapping[str, Any], actor: User, now: datetime
) -> Preparation:
    """Change side, condition, slide, place in a slide box, or note of a preparation.

    :raises CannotPrepare: if the slide or its place is taken
    """
    found = _locked(preparation)
    _set(found, facts)
    _save(found, actor, now)
    return found


def _set(preparation: Preparation, facts: Mapping[str, Any]) -> None:
    for name in ("side", "condition", "slide", "slide_box", "box_place", "note"):
        if name in facts:
            setattr(preparation, name, facts[name])
    if bool(preparation.slide_box) != (preparation.box_place is not None):
        field = "slide_box" if not preparation.slide_box else "box_place"
        raise CannotPrepare(
            "half_a_place",
            "Enter both the slide box and the place in it, such as S-1 and 12.",
            field,
        )


def _save(preparation: Preparation, actor: User, now: datetime) -> None:
    _check_free(preparation)
    try:
        with transaction.atomic():
            save_signed(preparation, actor=actor, now=now)
    except IntegrityError:
        raise CannotPrepare(
            "taken_meanwhile",
            "The slide number or its place was taken just now. Choose another, such as the next.",
            "slide",
        ) from None


def _check_free(preparation: Preparation) -> None:
    others = Preparation.objects.filter(lake=preparation.lake_id).exclude(pk=preparation.pk)
    others = others.select_related("vial")
    slide = others.filter(slide__iexact=preparation.slide).first() if preparation.slide else None
    if slide is not None:
        raise CannotPrepare(
            "slide_taken",
            f"Slide {slide.slide} is preparation {slide.number} of vial "
            f"{grouped(slide.vial.number)}. Enter the number on this slide.",
            "slide",
        )
    if preparation.box_place is None:
        return
    same_box = others.filter(slide_box__iexact=preparation.slide_box)
    there = same_box.filter(box_place=preparation.box_place).first()
    if there is not None:
        raise CannotPrepare(
            "place_taken",
            f"Place {there.box_place} of box {there.slide_box} holds vial "
            f"{grouped(there.vial.number)}. Enter a free place, such as "
            f"{next_place_in(preparation.lake_id, there.slide_box)}.",
            "box_place",
        )


@atomic_with_revision()
def add_step(
    *,
    preparation: Preparation,
    kind: str,
    done_on: date,
    actor: User,
    now: datetime,
    today: date,
) -> PreparationStep:
    """Note a step of the work; the same step of the same day again is the same.

    :raises CannotPrepare: if the preparation has no such step, is spoiled, or the day is to come
    """
    found = _locked(preparation)
    if kind not in STEPS[Kind(found.kind)]:
        raise CannotPrepare("other_step", "Choose a step of this kind of preparation.")
    if found.spoiled_at is not None:
        raise CannotPrepare("spoiled", f"Preparation {found.number} is spoiled.")
    if done_on > today:
        raise CannotPrepare("future_day", "Enter today or an earlier day.", "done_on")
    there = found.steps.filter(kind=kind, done_on=done_on).first()
    if there is not None:
        return there
    step = PreparationStep(
        preparation=found, kind=kind, done_on=done_on, done_by=actor, noted_at=now
    )
    save_signed(step, actor=actor, now=now)
    return step


@atomic_with_revision()
def remove_step(*, preparation: Preparation, actor: User, now: datetime) -> str:
    """Take back the step that was noted last; return its name, or nothing where there is none."""
    found = _locked(preparation)
    step = found.steps.order_by("-noted_at", "-pk").first()
    if step is None:
        return ""
    name: str = step.get_kind_display()
    delete_signed(step, actor=actor, now=now)
    return name


@atomic_with_revision()
def spoil(*, preparation: Preparation, why: str, actor: User, now: datetime) -> Preparation:
    """Note that nothing can be read from a preparation any more.

    If nobody read it, who asked for the section waits again.

    :raises CannotPrepare: without a reason
    """
    if not why.strip():
        raise CannotPrepare("no_reason", "Enter what happened, such as: ground through.", "why")
    found = _locked(preparation)
    if found.spoiled_at is not None:
        return found
    found.spoiled_by, found.spoiled_at, found.spoiled_why = actor, now, why.strip()
    save_signed(found, actor=actor, now=now)
    if not found.readings.exists():
        for request in found.requests.all():
            _set_preparation(request, None, actor, now)
    return found


@atomic_with_revision()
def restore(*, preparation: Preparation, actor: User, now: datetime) -> Preparation:
    """Take back that a preparation is spoiled."""
    found = _locked(preparation)
    found.spoiled_by = found.spoiled_at = None
    found.spoiled_why = ""
    save_signed(found, actor=actor, now=now)
    if found.kind == Kind.SECTION:
        _cross_off(found, actor, now)
    return found


def _cross_off(section: Preparation, actor: User, now: datetime) -> None:
    for request in open_requests(section.vial):
        _set_preparation(request, section, actor, now)


def _set_preparation(
    request: SectionRequest, section: Preparation | None, actor: User, now: datetime
) -> None:
    request.preparation = section
    save_signed(request, actor=actor, now=now)


def _locked(preparation: Preparation) -> Preparation:
    Vial.objects.select_for_update().get(pk=preparation.vial_id)
    return Preparation.objects.select_related("vial").get(pk=preparation.pk)
