"""Opening a reading session, saving its otoliths one by one, and closing it.

The session's row is locked first, then the vial's, always: what is saved while somebody closes
the session is in it whole or not at all.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from random import Random
from secrets import randbits
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from samples.accounts.permissions import Permission, has_permission
from samples.lab.queries import queue
from samples.lab.services.drawing import SEED_BITS, draw_vials_read_before
from samples.lab.services.errors import (
    CannotOpenSession,
    CannotRead,
    CannotWithdrawReading,
    SessionClosed,
)
from samples.lab.services.readings import Saved, save_reading
from samples.lab.services.sections import follow_otolith
from samples.lab.services.withdrawing import withdraw_reading
from samples.models import (
    Lake,
    OtolithOutcome,
    Reading,
    ReadingSession,
    ReadingStream,
    SessionOtolith,
    SessionPurpose,
    User,
    Vial,
    atomic_with_revision,
)
from samples.models.signing import save_signed
from samples.rules.lake_time import local_day

# Of every ten otoliths one is of the reference set, and of every four one a second reading.
REFERENCE_ONE_IN, SECOND_ONE_IN = 10, 4
MOST_IN_A_SESSION = 200
# A page that was left open overnight was not read for a night.
LONGEST_SECONDS = 3_600

Chosen = list[tuple[int, ReadingStream]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionChoice:
    """What a reader asks a session to be."""

    purpose: SessionPurpose
    method: str
    count: int
    length_is_hidden: bool = True
    earlier_are_hidden: bool = True
    species_id: int | None = None
    side: str = ""
    light: str = ""
    axis: str = ""


def open_session(
    *,
    lake: Lake,
    reader: User,
    choice: SessionChoice,
    request_id: UUID,
    now: datetime,
    seed: int | None = None,
) -> ReadingSession:
    """Choose otoliths, shuffle them and open the session; asked again it is the same session.

    :raises CannotOpenSession: if another one is open, or nothing of the kind waits
    """
    # In a transaction of its own: whoever saves a first reading holds its vial and waits for the
    # draw, so nobody may hold the draw and wait for a vial.
    draw_vials_read_before(lake, now=now)
    return _open_one(lake, reader, choice, request_id, now, seed)


@atomic_with_revision()
def _open_one(
    lake: Lake,
    reader: User,
    choice: SessionChoice,
    request_id: UUID,
    now: datetime,
    seed: int | None,
) -> ReadingSession:
    # Two readers who open at once come one after the other and get other otoliths.
    Lake.objects.select_for_update(no_key=True).get(pk=lake.pk)
    sent_before = ReadingSession.objects.filter(request_id=request_id, reader=reader).first()
    if sent_before is not None:
        return sent_before
    if ReadingSession.objects.filter(lake=lake, reader=reader, closed_at__isnull=True).exists():
        raise CannotOpenSession(
            "open_already", "You have an open session at this lake. Continue it, or end it first."
        )
    seed = randbits(SEED_BITS) if seed is None else seed
    # A seed that is kept, so that the order can be drawn again; nothing secret hangs on it.
    rng = Random(seed)  # noqa: S311
    chosen = _choose(reader, lake, choice, rng, local_day(now, lake.time_zone))
    if not chosen:
        raise CannotOpenSession(f"nothing_{choice.purpose}", NOTHING[choice.purpose], "purpose")
    rng.shuffle(chosen)
    session = ReadingSession.objects.create(
        lake=lake,
        reader=reader,
        purpose=choice.purpose,
        method=choice.method,
        length_is_hidden=choice.length_is_hidden,
        earlier_are_hidden=choice.earlier_are_hidden,
        side=choice.side,
        light=choice.light,
        axis=choice.axis,
        seed=seed,
        opened_at=now,
        request_id=request_id,
    )
    SessionOtolith.objects.bulk_create(
        SessionOtolith(session=session, place=place, vial_id=vial, stream=stream)
        for place, (vial, stream) in enumerate(chosen, start=1)
    )
    return session


NOTHING = {
    SessionPurpose.NEXT: "No unread otoliths are ready. Receive vials, or end a session that "
    "holds them.",
    SessionPurpose.SECOND: "No second readings are due for you.",
    SessionPurpose.HARD: "No otoliths that you have not read are waiting for another reading.",
    SessionPurpose.REFERENCE: "The reference set is empty. The biologist adds otoliths to it under "
    "Quality control.",
}


def _choose(reader: User, lake: Lake, choice: SessionChoice, rng: Random, today: date) -> Chosen:
    """Choose otoliths for a session. What mixes in unseen is drawn with the session's seed."""
    if choice.purpose == SessionPurpose.REFERENCE:
        return _draw(
            rng,
            _numbered(queue.reference_vials(reader, lake), choice),
            choice.count,
            ReadingStream.REFERENCE,
        )
    if choice.purpose == SessionPurpose.HARD:
        return _draw(
            rng,
            _numbered(queue.hard_ones_due(reader, lake), choice),
            choice.count,
            ReadingStream.HARD,
        )
    seconds = _numbered(queue.second_readings_due(reader, lake), choice)
    if choice.purpose == SessionPurpose.SECOND:
        read = _draw(rng, seconds, choice.count, ReadingStream.SECOND)
    else:
        read = _next(reader, lake, choice, rng, seconds, today)
    return _with_reference(reader, lake, choice, rng, read) if read else []


def _next(
    reader: User,
    lake: Lake,
    choice: SessionChoice,
    rng: Random,
    seconds: list[int],
    today: date,
) -> Chosen:
    """Take what is worth most from the queue, and second readings that are due among it."""
    mixed = _draw(rng, seconds, choice.count // SECOND_ONE_IN, ReadingStream.SECOND)
    queued = queue.queue_of(
        reader, lake, method=choice.method, today=today, species_id=choice.species_id
    )
    first: Chosen = []
    for one in queued:
        if len(first) + len(mixed) >= choice.count:
            break
        first.append((one.otolith.vial_id, ReadingStream.FIRST))
    return first + mixed


def _with_reference(
    reader: User, lake: Lake, choice: SessionChoice, rng: Random, read: Chosen
) -> Chosen:
    """Put otoliths of the reference set in the place of some of the others."""
    wanted = len(read) // REFERENCE_ONE_IN
    drawn = _draw(
        rng,
        _numbered(queue.reference_vials(reader, lake), choice),
        wanted,
        ReadingStream.REFERENCE,
    )
    # The last of the queue are worth least.
    return [*read[: len(read) - len(drawn)], *drawn]


def _numbered(vials: QuerySet[Vial], choice: SessionChoice) -> list[int]:
    if choice.species_id is not None:
        vials = vials.filter(fish__species_id=choice.species_id)
    return list(vials.order_by("number").values_list("pk", flat=True))


def _draw(rng: Random, vials: list[int], count: int, stream: ReadingStream) -> Chosen:
    return [(vial, stream) for vial in rng.sample(vials, min(count, len(vials)))]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtolithFacts:
    """What was said of one otolith of a session. Without annuli it was set aside."""

    annuli: int | None
    margin: int | None = None
    readability: int | None = None
    needs_section: bool = False
    cannot_be_read: bool = False
    note: str = ""
    side: str = ""
    light: str = ""
    axis: str = ""
    seconds: int | None = None
    confirmed: Collection[str] = ()


@atomic_with_revision()
def save_otolith(*, otolith: SessionOtolith, facts: OtolithFacts, now: datetime) -> Saved | None:
    """Save what was said of one otolith; said again before the end it is a correction.

    :return: the reading; none where the otolith was set aside
    :raises SessionClosed: a reading of a closed session is never changed
    :raises CannotRead: if nothing was counted and nothing said why, or the reading contradicts
    :raises ReadingNeedsConfirmation: about a likely slip
    """
    session = _lock_open(otolith.session_id)
    otolith = SessionOtolith.objects.select_related("vial__lake", "session__reader").get(
        pk=otolith.pk
    )
    saved = None
    if facts.annuli is not None:
        saved = _read(session, otolith, facts.annuli, facts, now)
    outcome = OtolithOutcome.READ if saved else _set_aside(session, otolith, facts, now)
    changes = {
        "outcome": outcome,
        "needs_section": facts.needs_section,
        "note": facts.note,
    }
    if any(getattr(otolith, name) != value for name, value in changes.items()):
        first_time = otolith.done_at is None
        for name, value in changes.items():
            setattr(otolith, name, value)
        otolith.done_at = now
        if first_time and facts.seconds is not None:
            otolith.seconds = min(facts.seconds, LONGEST_SECONDS)
        save_signed(otolith, actor=session.reader, now=now)
        follow_otolith(otolith, now=now)
    _remember(session, facts, now)
    return saved


def _lock_open(pk: int) -> ReadingSession:
    session = (
        ReadingSession.objects.select_for_update(of=("self",)).select_related("reader").get(pk=pk)
    )
    if session.closed_at is not None:
        raise SessionClosed(
            "session_closed",
            "This session is closed, so its readings stay as they are. Read the otolith again in "
            "another session.",
        )
    return session


def _read(
    session: ReadingSession,
    otolith: SessionOtolith,
    annuli: int,
    facts: OtolithFacts,
    now: datetime,
) -> Saved:
    if facts.cannot_be_read:
        raise CannotRead(
            "counted_and_unreadable",
            "Clear the count, or untick “Cannot be read”.",
            "annuli",
        )
    return save_reading(
        vial=otolith.vial,
        reader=session.reader,
        otolith=otolith,
        annuli=annuli,
        margin=facts.margin,
        method=session.method,
        readability=facts.readability,
        length_was_hidden=session.length_is_hidden,
        earlier_were_hidden=earlier_are_hidden(session, otolith),
        sitting_on=local_day(now, otolith.vial.lake.time_zone),
        now=now,
        annulus_at_edge="not_said",
        needs_section=facts.needs_section,
        note=facts.note,
        side=facts.side,
        light=facts.light,
        axis=facts.axis,
        confirmed=facts.confirmed,
    )


def earlier_are_hidden(session: ReadingSession, otolith: SessionOtolith) -> bool:
    """Return whether earlier readings stay hidden: second and reference readings are blind."""
    blind = {ReadingStream.SECOND, ReadingStream.REFERENCE}
    return session.earlier_are_hidden or otolith.stream in blind


def _set_aside(
    session: ReadingSession, otolith: SessionOtolith, facts: OtolithFacts, now: datetime
) -> OtolithOutcome:
    """Return why an otolith was not counted; a count that was saved before is taken back.

    :raises CannotRead: if nothing says why, or an age that was decided rests on the count
    """
    if not facts.needs_section and not facts.cannot_be_read:
        raise CannotRead("no_count", "Enter the number of annuli, 0 to 59.", "annuli")
    outcome = OtolithOutcome.UNREADABLE if facts.cannot_be_read else OtolithOutcome.SECTION
    reading = Reading.objects.filter(session_otolith=otolith).first()
    if reading is not None:
        try:
            withdraw_reading(reading=reading, actor=session.reader, now=now, note=outcome.label)
        except CannotWithdrawReading as problem:
            raise CannotRead(problem.code, problem.sentence, "annuli") from problem
    return outcome


def _remember(session: ReadingSession, facts: OtolithFacts, now: datetime) -> None:
    """Keep side, light and axis for the next otolith."""
    words: dict[str, Any] = {"side": facts.side, "light": facts.light, "axis": facts.axis}
    if any(getattr(session, name) != text for name, text in words.items()):
        for name, text in words.items():
            setattr(session, name, text)
        save_signed(session, actor=session.reader, now=now)


@atomic_with_revision()
def close_session(*, session: ReadingSession, actor: User, now: datetime) -> ReadingSession:
    """Close a session; what was not read goes back into the queue. Closed twice it stays so.

    :raises CannotOpenSession: if it is somebody else's, and not the biologist closes it
    """
    session = ReadingSession.objects.select_for_update().get(pk=session.pk)
    if session.reader_id != actor.pk and not has_permission(
        actor, Permission.DECIDE_AGES, session.lake
    ):
        raise CannotOpenSession("not_yours", "Only its reader or the biologist can end a session.")
    if session.closed_at is None:
        session.closed_at = now
        save_signed(session, actor=actor, now=now)
    return session
