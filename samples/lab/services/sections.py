"""Who asks for thin sections, and what became of it."""

from datetime import datetime

from django.db.models import QuerySet

from samples.models import (
    AgeDecision,
    Reading,
    SectionRequest,
    SessionOtolith,
    User,
    Vial,
    atomic_with_revision,
)
from samples.models.signing import save_signed


def open_requests(vial: Vial) -> QuerySet[SectionRequest]:
    """Return who waits for a section of a vial, the first to ask first."""
    return SectionRequest.objects.filter(
        vial=vial, preparation__isnull=True, dropped_at__isnull=True
    ).order_by("asked_at", "pk")


def ask_for_section(
    vial: Vial,
    *,
    actor: User,
    now: datetime,
    why: str,
    reading: Reading | None = None,
    decision: AgeDecision | None = None,
) -> SectionRequest:
    """Put a vial on the list of those to section, with who asks and why."""
    return SectionRequest.objects.create(
        vial=vial, asked_by=actor, asked_at=now, why=why, reading=reading, decision=decision
    )


def follow_reading(reading: Reading, *, now: datetime) -> None:
    """Put the vial on the list as its reading says, or take it off if it says so no more.

    One that was sectioned already is done.
    """
    request = SectionRequest.objects.filter(reading=reading).first()
    if request is None:
        if reading.needs_section:
            ask_for_section(
                reading.vial, actor=reading.reader, now=now, why=reading.note, reading=reading
            )
        return
    if request.preparation_id is not None:
        return
    if reading.needs_section:
        request.why, request.dropped_at, request.dropped_by = reading.note, None, None
    else:
        request.dropped_at, request.dropped_by = now, reading.reader
    request.save()


def follow_otolith(otolith: SessionOtolith, *, now: datetime) -> None:
    """Put the vial of an otolith without a count on the list as its reader says, or take it off.

    Where there is a reading, its own request speaks for both.
    """
    reader = otolith.session.reader
    # Whoever makes a section holds the vial meanwhile.
    Vial.objects.select_for_update().get(pk=otolith.vial_id)
    requests = SectionRequest.objects.filter(
        vial=otolith.vial_id,
        reading=None,
        decision=None,
        asked_by=reader,
        asked_at__gte=otolith.session.opened_at,
    )
    if requests.filter(preparation__isnull=False).exists():
        return
    request = requests.order_by("-asked_at", "-pk").first()
    wanted = otolith.needs_section and not Reading.objects.filter(session_otolith=otolith).exists()
    if wanted and request is None:
        ask_for_section(otolith.vial, actor=reader, now=now, why=otolith.note)
    elif wanted and request is not None:
        request.why, request.dropped_at, request.dropped_by = otolith.note, None, None
        request.save()
    elif request is not None and request.dropped_at is None:
        drop(request, actor=reader, now=now)


@atomic_with_revision()
def drop_requests(*, vial: Vial, actor: User, now: datetime) -> int:
    """Take a vial off the list of those to section; return how many had asked for it."""
    Vial.objects.select_for_update().get(pk=vial.pk)
    waiting = list(open_requests(vial))
    for request in waiting:
        drop(request, actor=actor, now=now)
    return len(waiting)


def drop(request: SectionRequest, *, actor: User, now: datetime) -> None:
    """Note that a section is not wanted any more, and who says so."""
    request.dropped_at, request.dropped_by = now, actor
    save_signed(request, actor=actor, now=now)
