"""Drawing second readings: by themselves, as soon as an otolith has been read once."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from secrets import randbits

from django.db.models import F, Max, Min, Q

from samples.models import (
    Fish,
    Lake,
    LakeSpecies,
    ReadingStream,
    SecondReadingDraw,
    SecondReadingPlan,
    User,
    Vial,
    atomic_with_revision,
)
from samples.models.signing import save_signed
from samples.rules.second_readings import is_drawn, start_of

SEED_BITS = 62
# Otoliths of a season are read in the winter after it; what is older is done with.
CATCH_UP = timedelta(days=366)
# Where a species is not set up at the lake: an inch.
USUAL_BIN_HUNDREDTHS_MM = 2_540


def locked_plan(lake: Lake) -> SecondReadingPlan:
    """Return the lake's plan of second readings, locked; made with a seed when it is missing."""
    SecondReadingPlan.objects.get_or_create(lake=lake, defaults={"seed": randbits(SEED_BITS)})
    return SecondReadingPlan.objects.select_for_update().get(lake=lake)


@atomic_with_revision()
def set_second_percent(*, lake: Lake, percent: int, actor: User, now: datetime) -> None:
    """Set how many otoliths in a hundred are read twice; what was drawn stays drawn."""
    plan = locked_plan(lake)
    if plan.percent != percent:
        plan.percent = percent
        save_signed(plan, actor=actor, now=now)


def draw_second_reading(
    vial: Vial, fish: Fish, species: LakeSpecies | None, *, now: datetime
) -> None:
    """Draw whether a vial that was read for the first time is read a second time, once for all."""
    if not SecondReadingDraw.objects.filter(vial=vial).exists():
        _draw(fish.lake, [(vial.pk, fish, species)], now)


def _draw(lake: Lake, read: Sequence[tuple[int, Fish, LakeSpecies | None]], now: datetime) -> None:
    """Draw among fish in the order in which they were read; places go on from those before."""
    plan = locked_plan(lake)
    before: dict[tuple[int, ...], int] = {}
    made = []
    for vial, fish, species in read:
        width = species.bin_width_hundredths_mm if species else USUAL_BIN_HUNDREDTHS_MM
        lower = fish.length_hundredths_mm // width * width
        stratum = (fish.season_id, fish.species_id, fish.arm_id, lower)
        if stratum not in before:
            before[stratum] = _drawn_before(stratum)
        before[stratum] += 1
        start = start_of(plan.seed, *stratum)
        made.append(
            SecondReadingDraw(
                vial_id=vial,
                season_id=fish.season_id,
                species_id=fish.species_id,
                arm_id=fish.arm_id,
                from_hundredths_mm=lower,
                place=before[stratum],
                percent=plan.percent,
                is_drawn=is_drawn(before[stratum], plan.percent, start),
                drawn_at=now,
            )
        )
    SecondReadingDraw.objects.bulk_create(made, batch_size=500)


def _drawn_before(stratum: tuple[int, ...]) -> int:
    season, species, arm, lower = stratum
    return SecondReadingDraw.objects.filter(
        season=season, species=species, arm=arm, from_hundredths_mm=lower
    ).count()


@atomic_with_revision()
def draw_vials_read_before(lake: Lake, *, now: datetime) -> None:
    """Draw among the vials that were read before there was a draw, in the order of their reading.

    One that two readers have read already stays out: that was somebody's choice.
    """
    told = ~Q(readings__stream=ReadingStream.REFERENCE)
    vials = (
        Vial.objects.filter(
            lake=lake,
            second_reading_draw__isnull=True,
            fish__season__ends_on__gte=(now - CATCH_UP).date(),
        )
        .annotate(first_read_at=Min("readings__read_at", filter=told))
        .filter(first_read_at__isnull=False)
        .annotate(
            first_reader=Min("readings__reader", filter=told),
            last_reader=Max("readings__reader", filter=told),
        )
        .filter(first_reader=F("last_reader"))
        .order_by("first_read_at", "number")
    )
    species = {row.species_id: row for row in LakeSpecies.objects.filter(lake=lake)}
    read = [(vial.pk, vial.fish) for vial in vials.select_related("fish")]
    _draw(lake, [(pk, fish, species.get(fish.species_id)) for pk, fish in read], now)
