"""What to read next: the otoliths that wait, and the targets that they count toward."""

from collections.abc import Iterator
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from samples.accounts.selectors import vials_at
from samples.lab.queries import vials_to_read
from samples.models import (
    OUT_OF_USE,
    Fish,
    HeldEntry,
    Lake,
    OtolithOutcome,
    Progress,
    Reading,
    ReadingStream,
    SecondReadingRequest,
    SessionOtolith,
    Target,
    User,
    Vial,
    with_an_otolith_to_read,
    without_reference,
)
from samples.rules.reading_queue import QueuedOtolith, WaitingOtolith, in_order_of_worth


def queue_of(
    reader: User, lake: Lake, *, method: str, today: date, species_id: int | None = None
) -> Iterator[QueuedOtolith]:
    """Yield the unread otoliths of a lake in the order in which they are worth reading."""
    vials = unread_vials(reader, lake, method=method, today=today)
    if species_id is not None:
        vials = vials.filter(fish__species_id=species_id)
    rows = list(
        vials.order_by().values_list(
            "pk",
            "number",
            "clearing_from",
            "received_at",
            "fish__season_id",
            "fish__species_id",
            "fish__arm_id",
            "fish__length_hundredths_mm",
        )
    )
    targets = _targets_of({row[4] for row in rows}, {row[5] for row in rows})
    zone = ZoneInfo(lake.time_zone)
    waiting = [
        WaitingOtolith(
            vial_id=pk,
            number=number,
            since=cleared or _day_of(received, zone),
            floors=_keys(targets, season, species, arm, length),
            lake_wide=_keys(targets, season, species, None, length),
        )
        for pk, number, cleared, received, season, species, arm, length in rows
    ]
    return in_order_of_worth(
        waiting,
        wanted={target.pk: target.wanted for target in targets},
        counted=_aged_by_target(targets),
    )


def _day_of(at: datetime | None, zone: ZoneInfo) -> date:
    """Return the day of receipt; a vial that can be read has one."""
    return at.astimezone(zone).date() if at else date.max


def unread_vials(reader: User, lake: Lake, *, method: str, today: date) -> QuerySet[Vial]:
    """Return vials with an otolith that nobody has read and that lies in nobody's open session.

    One that was set aside under this method waits for another preparation, and one that is asked
    for by two logs, or has not cleared yet, waits as well.
    """
    readings = without_reference(Reading.objects.filter(vial=OuterRef("pk")))
    set_aside = SessionOtolith.objects.filter(
        vial=OuterRef("pk"),
        session__method=method,
        outcome__in=[OtolithOutcome.SECTION, OtolithOutcome.UNREADABLE],
    )
    claims = HeldEntry.objects.filter(vial=OuterRef("pk"), state=HeldEntry.State.OPEN)
    return (
        vials_to_read(reader, lake)
        .exclude(state=Vial.State.ARCHIVED)
        .filter(Q(ready_on__isnull=True) | Q(ready_on__lte=today))
        .filter(~Exists(readings), ~Exists(set_aside), ~Exists(claims), ~_in_open_session())
        .filter(Q(reference__isnull=True) | Q(reference__retired_at__isnull=False))
    )


def second_readings_due(reader: User, lake: Lake) -> QuerySet[Vial]:
    """Return vials drawn for a second reading that this reader has not read, and nobody twice."""
    readings = without_reference(Reading.objects.filter(vial=OuterRef("pk")))
    return _readable(reader, lake).filter(
        Exists(readings),
        ~Exists(readings.filter(reader=reader)),
        ~Exists(readings.filter(stream=ReadingStream.SECOND)),
        ~_in_open_session(),
        second_reading_draw__is_drawn=True,
    )


def hard_ones_due(reader: User, lake: Lake) -> QuerySet[Vial]:
    """Return vials sent for another reading by hand that this reader has not read."""
    own = without_reference(Reading.objects.filter(vial=OuterRef("pk"), reader=reader))
    asked = SecondReadingRequest.objects.filter(vial=OuterRef("pk"), closed_at__isnull=True)
    return _readable(reader, lake).filter(Exists(asked), ~Exists(own), ~_in_open_session())


def reference_vials(reader: User, lake: Lake) -> QuerySet[Vial]:
    """Return the vials of the reference set that can be read."""
    return (
        vials_at(reader, lake)
        .filter(reference__retired_at__isnull=True, reference__isnull=False)
        .filter(fish__isnull=False, fish__caught_on__isnull=False)
        .exclude(state__in=OUT_OF_USE)
    )


def _readable(reader: User, lake: Lake) -> QuerySet[Vial]:
    return with_an_otolith_to_read(vials_at(reader, lake))


def _in_open_session() -> Exists:
    return Exists(
        SessionOtolith.objects.filter(
            vial=OuterRef("pk"), session__closed_at__isnull=True, outcome=OtolithOutcome.WAITING
        )
    )


def _targets_of(seasons: set[int], species: set[int]) -> list[Target]:
    found = Target.objects.filter(season__in=seasons, species__in=species, wanted__gt=0)
    return list(found.order_by("pk"))


def _keys(
    targets: list[Target], season: int, species: int, arm: int | None, length: int
) -> tuple[int, ...]:
    return tuple(
        target.pk
        for target in targets
        if (target.season_id, target.species_id, target.arm_id) == (season, species, arm)
        and target.from_hundredths_mm <= length < target.below_hundredths_mm
    )


def _aged_by_target(targets: list[Target]) -> dict[int, int]:
    """Count the aged fish that count toward each target, in one statement."""
    rows = (
        Fish.objects.filter(
            season__in={target.season_id for target in targets},
            species__in={target.species_id for target in targets},
            withdrawn=False,
            progress__gte=Progress.AGE_AS_GIVEN,
        )
        .order_by()
        .values_list("season_id", "species_id", "arm_id", "length_hundredths_mm")
        .annotate(n=Count("*"))
    )
    counted: dict[int, int] = {}
    by_water: dict[tuple[int, int], list[Target]] = {}
    for target in targets:
        by_water.setdefault((target.season_id, target.species_id), []).append(target)
    for season, species, arm, length, n in rows:
        for target in by_water.get((season, species), []):
            of_arm = target.arm_id in {None, arm}
            if of_arm and target.from_hundredths_mm <= length < target.below_hundredths_mm:
                counted[target.pk] = counted.get(target.pk, 0) + n
    return counted
