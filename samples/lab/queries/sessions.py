"""What the pages of reading sessions show. What is hidden from the reader is not fetched."""

from dataclasses import dataclass
from statistics import median

from django.db.models import Count, Q, QuerySet

from samples.models import (
    Fish,
    Lake,
    OtolithOutcome,
    Reading,
    ReadingSession,
    SessionOtolith,
    TrayPlace,
    User,
    without_reference,
)


@dataclass(frozen=True, slots=True)
class SessionProgress:
    """How far a session has come, and how long an otolith takes."""

    total: int
    done: int
    seconds_each: float | None

    @property
    def left(self) -> int:
        return self.total - self.done

    @property
    def minutes_left(self) -> int | None:
        """Return about how many minutes the rest takes; None until one otolith was timed."""
        if self.seconds_each is None or not self.left:
            return None
        return max(1, round(self.left * self.seconds_each / 60))


@dataclass(frozen=True, slots=True)
class VialOfSession:
    """One vial of a session for the rack: where it lies, and what came of it."""

    otolith: SessionOtolith
    tray: TrayPlace | None
    reading: Reading | None


def sessions_of(lake: Lake, *, reader: User | None) -> QuerySet[ReadingSession]:
    """Return the sessions of a lake, the latest first; of one reader, or of everybody."""
    found = ReadingSession.objects.filter(lake=lake).select_related("reader")
    if reader is not None:
        found = found.filter(reader=reader)
    return found.annotate(
        total=Count("otoliths"),
        done=Count("otoliths", filter=~Q(otoliths__outcome=OtolithOutcome.WAITING)),
    ).order_by("-opened_at", "-pk")


def progress_of(session: ReadingSession) -> SessionProgress:
    rows = list(session.otoliths.values_list("outcome", "seconds"))
    timed = [seconds for outcome, seconds in rows if outcome and seconds is not None]
    done = sum(bool(outcome) for outcome, _ in rows)
    return SessionProgress(len(rows), done, median(timed) if timed else None)


def otolith_at(session: ReadingSession, place: int | None) -> SessionOtolith | None:
    """Return the otolith at a place of a session; without a place, the next that waits."""
    rows = session.otoliths.select_related("vial__fish__species", "vial__fish__arm")
    if place is not None:
        return rows.filter(place=place).first()
    return rows.filter(outcome=OtolithOutcome.WAITING).order_by("place").first()


def next_waiting(session: ReadingSession, after: int) -> SessionOtolith | None:
    """Return the next otolith that waits behind a place, or the first that was passed over."""
    waiting = session.otoliths.filter(outcome=OtolithOutcome.WAITING).select_related("vial")
    return (
        waiting.filter(place__gt=after).order_by("place").first()
        or waiting.exclude(place=after).order_by("place").first()
    )


def reading_of(otolith: SessionOtolith) -> Reading | None:
    """Return the reading that was saved for an otolith of a session."""
    return Reading.objects.filter(session_otolith=otolith).first()


def length_shown(session: ReadingSession, fish: Fish) -> int | None:
    """Return the length of a fish, unless the session hides it."""
    return None if session.length_is_hidden else fish.length_hundredths_mm


def earlier_shown(otolith: SessionOtolith, *, hidden: bool) -> list[Reading]:
    """Return what was read of an otolith before, by anybody, unless it is hidden."""
    if hidden:
        return []
    earlier = without_reference(Reading.objects.filter(vial=otolith.vial_id))
    return list(
        earlier.exclude(session_otolith=otolith.pk).select_related("reader").order_by("read_at")
    )


def vials_of(session: ReadingSession) -> list[VialOfSession]:
    """Return the vials of a session in order, with where each lies."""
    rows = list(session.otoliths.select_related("vial").order_by("place"))
    vials = [row.vial_id for row in rows]
    places = TrayPlace.objects.filter(vial__in=vials, tray__dried_on__isnull=True)
    trays = {place.vial_id: place for place in places.select_related("tray")}
    readings = {
        reading.session_otolith_id: reading
        for reading in Reading.objects.filter(session_otolith__in=rows)
    }
    return [VialOfSession(row, trays.get(row.vial_id), readings.get(row.pk)) for row in rows]
