"""Vials that arrive, with or without a log."""

from dataclasses import dataclass
from datetime import datetime

from samples.models import Fish, Lake, User, Vial, atomic_with_revision, state_before
from samples.rules import vial_number
from samples.rules.vial_moves import RECEIVE
from samples.vials.services.errors import CannotReceive
from samples.vials.services.locked import change, locked_vial, whereabouts
from samples.vials.services.marks import refresh_fish_of
from samples.vials.services.scanning import check_is_last, locked_scan, put_back

UNUSED = frozenset({Vial.State.PRINTED, Vial.State.ISSUED})
_COLUMNS = ["state", "content", "received_at", "received_by"]


@dataclass(frozen=True, slots=True)
class Received:
    """`first_time` is false for a vial that had been received before.

    `content_in_question` is another content than was noted then: nothing is changed by itself.
    """

    vial: Vial
    first_time: bool
    has_log: bool
    content_in_question: str = ""


@atomic_with_revision()
def receive(*, lake: Lake, number: str, content: str = "", actor: User, now: datetime) -> Received:
    """Take in one vial by its number or its last digits, as typed or scanned, and note what is
    inside.

    Receiving it again changes nothing: what was noted inside stays until it is changed.

    :raises CannotReceive: if the number is none of this lake's, or was made void
    """
    if content not in Vial.Content.values:
        raise CannotReceive("content", "Choose what is inside.", "content")
    # Last digits are most likely those of a vial that was used and is on its way.
    awaited = Vial.objects.filter(lake=lake, state=Vial.State.USED)
    vial = locked_scan(lake, number, awaited, CannotReceive)
    if vial.state == Vial.State.VOID:
        raise CannotReceive(
            "void",
            f"{vial_number.grouped(vial.number)} is void. Set the vial aside. Find a vial shows "
            "why and can return it to use.",
            "number",
        )
    has_log = Fish.objects.filter(vial=vial).exists()
    if vial.state == Vial.State.LOST and vial.received_at is not None:
        return _found_again(vial, content, has_log=has_log, actor=actor, now=now)
    if vial.state not in RECEIVE.starts:
        return _received_before(vial, content, has_log=has_log)
    vial.state, vial.content = Vial.State.RECEIVED, content or vial.content
    vial.received_at, vial.received_by = now, actor
    change([vial], _COLUMNS, actor=actor, now=now)
    refresh_fish_of([vial])
    return Received(vial, True, has_log)


@atomic_with_revision()
def undo_receive(*, lake: Lake, number: str, actor: User, now: datetime) -> Vial:
    """Undo what this person received last: the vial is where it was before.

    ``number`` is the vial that was shown as the last one.

    :raises CannotReceive: if there is none, it is another, or it has been moved on since
    """
    mine = Vial.objects.select_for_update(of=("self",)).filter(lake=lake, received_by=actor)
    vial = mine.order_by("-received_at", "-pk").first()
    if vial is None:
        raise CannotReceive("nothing_to_undo", "You have received no vial yet.")
    check_is_last(number, vial, CannotReceive)
    if vial.state != Vial.State.RECEIVED:
        raise CannotReceive(
            "moved_on",
            f"{vial_number.grouped(vial.number)} is {whereabouts(vial)} by now. It stays received.",
        )
    put_back(vial, _COLUMNS, since=["received_at"])
    # Its log may have come in meanwhile: it is not offered as unused again.
    if vial.state in UNUSED and Fish.objects.filter(vial=vial).exists():
        vial.state = Vial.State.USED
    change([vial], _COLUMNS, actor=actor, now=now)
    refresh_fish_of([vial])
    return vial


def _found_again(
    vial: Vial, content: str, *, has_log: bool, actor: User, now: datetime
) -> Received:
    """Put a vial that was lost after it had come in where it stood; the day it first came stays."""
    vial.state = state_before(vial)
    change([vial], ["state"], actor=actor, now=now)
    refresh_fish_of([vial])
    return Received(vial, True, has_log, _other_content(vial, content))


def _received_before(vial: Vial, content: str, *, has_log: bool) -> Received:
    return Received(vial, False, has_log, _other_content(vial, content))


def _other_content(vial: Vial, content: str) -> str:
    return content if content != vial.content else ""


@atomic_with_revision()
def change_content(
    *, lake: Lake, number: str, content: str, was: str, actor: User, now: datetime
) -> Vial:
    """Note another content of a vial that was received; the history keeps what was noted.

    :raises CannotReceive: if it was not received, or somebody noted another content meanwhile
    """
    if content not in Vial.Content.values:
        raise CannotReceive("content", "Choose what is inside.", "content")
    vial = locked_vial(lake, number, CannotReceive)
    words = vial_number.grouped(vial.number)
    if vial.received_at is None:
        raise CannotReceive("not_received", f"{words} has not been received yet.", "number")
    if vial.content not in {was, content}:
        noted = vial.get_content_display().lower()
        raise CannotReceive(
            "changed", f"{words} was changed to {noted} meanwhile. Receive it again.", "number"
        )
    if vial.content != content:
        vial.content = content
        change([vial], ["content"], actor=actor, now=now)
        refresh_fish_of([vial])
    return vial
