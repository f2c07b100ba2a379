"""Vials set aside: void or lost, and brought back."""

from collections.abc import Iterable
from datetime import datetime

from samples.models import (
    Fish,
    Lake,
    User,
    Vial,
    atomic_with_revision,
    refresh_progress,
    state_before,
)
from samples.rules import vial_number
from samples.vials.services.errors import CannotMark
from samples.vials.services.locked import change, locked_range, locked_vial, named


@atomic_with_revision()
def void_vials(
    *, lake: Lake, first: str, last: str, note: str = "", actor: User, now: datetime
) -> int:
    """Make a range of numbers void, never to be used; count those that were not yet.

    :raises CannotMark: if a fish is logged under one of them
    """
    vials = locked_range(lake, first, last, CannotMark)
    logged = set(Fish.objects.filter(vial__in=vials).values_list("vial_id", flat=True))
    claimed = [vial for vial in vials if vial.pk in logged]
    if claimed:
        raise CannotMark(
            "logged",
            f"A fish is logged under {named(claimed)}. No number was voided. Mark the vial lost "
            "instead, or delete its fish first.",
            "first",
        )
    fresh = [vial for vial in vials if vial.state != Vial.State.VOID]
    for vial in fresh:
        vial.state, vial.note = Vial.State.VOID, note
    change(fresh, ["state", "note"], actor=actor, now=now)
    refresh_fish_of(fresh)
    return len(fresh)


@atomic_with_revision()
def mark_lost(*, lake: Lake, number: str, note: str = "", actor: User, now: datetime) -> Vial:
    """Note that a vial was looked for and not found. Its fish stays logged.

    :raises CannotMark: if the number is none of this lake's, or is void
    """
    vial = locked_vial(lake, number, CannotMark)
    if vial.state == Vial.State.VOID:
        raise CannotMark("void", f"{vial_number.grouped(vial.number)} is already void.", "number")
    if vial.state != Vial.State.LOST:
        vial.state, vial.note = Vial.State.LOST, note
        change([vial], ["state", "note"], actor=actor, now=now)
        refresh_fish_of([vial])
    return vial


@atomic_with_revision()
def bring_back(*, lake: Lake, number: str, actor: User, now: datetime) -> Vial:
    """Undo void or lost: the vial stands where it stood before.

    :raises CannotMark: if the number is none of this lake's
    """
    vial = locked_vial(lake, number, CannotMark)
    if vial.state in {Vial.State.VOID, Vial.State.LOST}:
        vial.state, vial.note = state_before(vial), ""
        change([vial], ["state", "note"], actor=actor, now=now)
        refresh_fish_of([vial])
    return vial


def refresh_fish_of(vials: Iterable[Vial]) -> None:
    """Update how far the fish of these vials have come, after a vial changed."""
    pks = [vial.pk for vial in vials]
    if pks:
        refresh_progress(Fish.objects.filter(vial__in=pks).values_list("pk", flat=True))
