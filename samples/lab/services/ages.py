"""Working out ages from readings, and deciding them.

The vial's row is locked first, always, and several in order of their keys: readers who save
meanwhile wait, and nobody waits in a circle.
"""

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Exists, OuterRef
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from samples.lab import rules
from samples.lab.queries import species_at
from samples.models import (
    Age,
    Fish,
    Lake,
    LakeSpecies,
    Reading,
    Vial,
    atomic_with_revision,
    refresh_progress,
    without_reference,
)
from samples.rules.ageing import CannotAge, decimal_age, growing_seasons, year_class_of

_BATCH = 500
# Ages that a person decided: no reading changes them.
DECISIONS = (Age.Standing.DECIDED, Age.Standing.NO_AGE)


def species_of(fish: Fish) -> LakeSpecies | None:
    return LakeSpecies.objects.filter(lake=fish.lake_id, species=fish.species_id).first()


@atomic_with_revision()
def work_out_age(fish: Fish, *, now: datetime) -> Age | None:
    """Make the fish's age anew from its readings; a decided age stays as it was decided.

    Call it after anything that an age rests on has changed: a reading, the catch date, the
    vial, or the days of the species at the lake.
    """
    lock(fish)
    age = Age.objects.filter(fish=fish).first()
    species = species_of(fish)
    readings = rules.aged(Reading.objects.filter(vial=fish.vial_id), fish, species)
    if readings or (age is not None and age.standing in DECISIONS):
        age = age or Age(fish=fish)
        if _set_anew(age, fish, species, readings, rules.consensus_rule_of(fish.lake), now):
            age.save()
    elif age is not None:
        age.delete()
        age = None
    refresh_progress([fish.pk])
    return age


@atomic_with_revision()
def work_out_ages(lake: Lake, *, now: datetime) -> int:
    """Make the ages of every fish read at a lake anew; say how many are another now.

    Call it after the days of a species at the lake were changed. What is asked of the
    database does not grow with the fish whose age stays.
    """
    locked = _lock_all_read(lake)
    readings: dict[int, list[Reading]] = {}
    for reading in without_reference(Reading.objects.filter(vial__fish__lake=lake)):
        readings.setdefault(reading.vial_id, []).append(reading)
    ages = {age.fish_id: age for age in Age.objects.filter(fish__lake=lake)}
    species = species_at(lake)
    rule = rules.consensus_rule_of(lake)
    written: list[Age] = []
    changed = 0
    for fish in Fish.objects.filter(lake=lake, vial__isnull=False).select_related("species"):
        if fish.vial_id not in locked or fish.vial_id not in readings:
            continue
        age = ages.get(fish.pk) or Age(fish=fish)
        before = (age.age_years, age.standing)
        of_species = species.get(fish.species_id)
        of_fish = rules.aged(readings[fish.vial_id], fish, of_species)
        if _set_anew(age, fish, of_species, of_fish, rule, now):
            written.append(age)
            changed += before != (age.age_years, age.standing)
    _write(written, now)
    return changed


def _lock_all_read(lake: Lake) -> set[int]:
    """Lock the vials of a lake's fish that somebody has read."""
    vials = Vial.objects.select_for_update().filter(
        Exists(Reading.objects.filter(vial=OuterRef("pk"))),
        Exists(Fish.objects.filter(vial=OuterRef("pk"), lake=lake)),
    )
    return {vial.pk for vial in vials.order_by("pk")}


def _write(ages: Sequence[Age], now: datetime) -> None:
    """Keep many ages with their history, signed by whoever is signed in."""
    new = [age for age in ages if age._state.adding]
    known = [age for age in ages if not age._state.adding]
    fields = [one.name for one in Age._meta.concrete_fields if one.name not in {"id", "fish"}]
    if new:
        bulk_create_with_history(new, Age, batch_size=_BATCH, default_date=now)
    if known:
        bulk_update_with_history(known, Age, fields, batch_size=_BATCH, default_date=now)
    if ages:
        refresh_progress([age.fish_id for age in ages])


def lock(fish: Fish) -> None:
    """Lock the vial of a fish, if it has one."""
    if fish.vial_id is not None:
        Vial.objects.select_for_update().get(pk=fish.vial_id)


def _set_anew(
    age: Age,
    fish: Fish,
    species: LakeSpecies | None,
    readings: list[rules.Aged],
    rule: rules.ConsensusRule,
    now: datetime,
) -> bool:
    """Set an age from its readings, or look again at a decided one; say if it changed."""
    before = _facts(age)
    if age.standing in DECISIONS:
        _look_again(age, readings)
    else:
        set_from_readings(age, fish, species, rules.consensus_of(readings, fish, rule))
    if _facts(age) == before:
        return False
    age.worked_out_at = now
    return True


def set_from_readings(
    age: Age, fish: Fish, species: LakeSpecies | None, outcome: rules.ReadingConsensus
) -> None:
    """Set an age as its readings give it, whatever was decided before."""
    age.standing, age.rule = outcome.standing, outcome.rule
    age.flags, age.readers = list(outcome.flags), outcome.readers
    age.decided_by, age.decided_at, age.note = None, None, ""
    try:
        fill(age, outcome.age_years, fish, species)
    except CannotAge as problem:
        fill(age, None, fish, species)
        age.standing, age.rule = Age.Standing.TO_SETTLE, problem.code


def _facts(age: Age) -> dict[str, object]:
    fields = [field.attname for field in Age._meta.concrete_fields]
    return {name: getattr(age, name) for name in fields if name != "worked_out_at"}


def oldest_plausible(fish: Fish, species: LakeSpecies | None) -> int:
    """Return the age above which a reading is asked about: the lake's own, else the shared one."""
    own = species.plausible_max_age_years if species else None
    return fish.species.plausible_max_age_years if own is None else own


def fill(age: Age, years: int | None, fish: Fish, species: LakeSpecies | None) -> None:
    """Set the age and what follows from it: all of it, or nothing if it cannot be."""
    if years is None or fish.caught_on is None:
        age.age_years = age.year_class = age.decimal_age_years = age.growing_seasons = None
        return
    calendar = rules.calendar_of(species)
    year_class = year_class_of(years, fish.caught_on, calendar)
    age.decimal_age_years = decimal_age(year_class, fish.caught_on, calendar)
    age.growing_seasons = growing_seasons(years, fish.caught_on, calendar)
    age.age_years, age.year_class = years, year_class
    if years > oldest_plausible(fish, species):
        age.flags = [*age.flags, rules.ABOVE_HIGHEST]


def _look_again(age: Age, readings: list[rules.Aged]) -> None:
    """Note on a decided age that somebody has read otherwise since; the decision stands."""
    since = (one for one in readings if age.decided_at and one.reading.read_at > age.decided_at)
    differs = any(one.counts and one.result.age != age.age_years for one in since)
    flags = [flag for flag in age.flags if flag != rules.READ_SINCE]
    age.flags = [*flags, rules.READ_SINCE] if differs else flags
    age.readers = sum(one.counts for one in readings)
