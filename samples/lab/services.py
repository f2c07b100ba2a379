"""Saving readings, working out ages and deciding them.

The vial's row is locked first, always: two readers who save at once come one after the
other, and the second sees what the first wrote.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import QuerySet

from samples.lab import rules
from samples.lab.queries import NOT_TO_BE_READ
from samples.models import Age, Fish, Lake, LakeSpecies, Reading, User, Vial, refresh_progress
from samples.rules.ageing import (
    AgeResult,
    CannotAge,
    decimal_age,
    growing_seasons,
    margin_needed,
    year_class_of,
)
from samples.rules.plausible import Question, age_questions

MARGIN_NEEDED = "margin_needed"
_FIELDS = {
    "negative_count": "annuli",
    "unknown_margin": "margin",
    "margin_without_annuli": "margin",
    "margin_contradicts_edge": "annulus_at_edge",
}


class CannotRead(Exception):
    """A reading that cannot be kept as it stands; the message belongs beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "vial") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field


class ReadingAsked(Exception):
    """A reading with a likely slip: it is kept once its questions are answered with yes."""

    def __init__(self, questions: tuple[Question, ...]) -> None:
        super().__init__(" ".join(question.sentence for question in questions))
        self.questions = questions


class CannotDecide(Exception):
    """An age that cannot be decided so; the message belongs beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "age_years") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field


@dataclass(frozen=True, slots=True)
class Saved:
    """A reading that was kept, what the rule makes of it, and the fish's age as it stands."""

    reading: Reading
    result: AgeResult
    age: Age | None
    created: bool


@transaction.atomic
def save_reading(
    *,
    vial: Vial,
    reader: User,
    annuli: int,
    margin: int | None,
    method: str,
    readability: int | None,
    length_was_hidden: bool,
    sitting_on: date,
    now: datetime,
    annulus_at_edge: bool | None = None,
    note: str | None = None,
    side: str | None = None,
    axis: str | None = None,
    light: str | None = None,
    confirmed: Collection[str] = (),
) -> Saved:
    """Keep a reading; typed again in the same sitting it is a correction of the first.

    What is None of note, side, axis and light stays as it was.

    :raises CannotRead: if the vial cannot be read, or the parts of the reading contradict
    :raises ReadingAsked: about a likely slip that is not among ``confirmed``
    """
    vial = Vial.objects.select_for_update().get(pk=vial.pk)
    fish = _fish_to_read(vial)
    species = _species_of(fish)
    try:
        result = rules.age_of_count(
            fish, species, annuli=annuli, margin=margin, annulus_at_edge=annulus_at_edge
        )
        questions = _questions(fish, species, annuli, margin, result)
    except CannotAge as problem:
        field = _FIELDS.get(problem.code, "vial")
        raise CannotRead(problem.code, problem.sentence, field) from problem
    own = Reading.objects.filter(vial=vial, reader=reader)
    answered = _answered(own, annuli, margin) | set(confirmed)
    unanswered = tuple(question for question in questions if question.code not in answered)
    if unanswered:
        raise ReadingAsked(unanswered)

    reading = own.filter(sitting_on=sitting_on, method=method).first()
    created = reading is None
    reading = reading or Reading(vial=vial, reader=reader, sitting_on=sitting_on, method=method)
    words = {"note": note, "side": side, "axis": axis, "light": light}
    facts = {
        "annuli": annuli,
        "margin": margin,
        "annulus_at_edge": annulus_at_edge,
        "readability": readability,
        "length_was_hidden": length_was_hidden,
        "slip_answers": sorted(question.code for question in questions),
        **{name: text for name, text in words.items() if text is not None},
    }
    if created or any(getattr(reading, name) != value for name, value in facts.items()):
        for name, value in facts.items():
            setattr(reading, name, value)
        reading.read_at = now
        reading.save()
    _mark_read(vial, reader, now)
    return Saved(reading, result, work_out_age(fish, now=now), created)


def _fish_to_read(vial: Vial) -> Fish:
    fish = Fish.objects.filter(vial=vial).select_related("species").first()
    if fish is None:
        raise CannotRead("no_fish", "No fish is logged for this vial, so it cannot be read yet.")
    if vial.state == Vial.State.VOID:
        raise CannotRead("void_vial", "This vial was declared void.")
    if vial.content in NOT_TO_BE_READ:
        words = NOT_TO_BE_READ[Vial.Content(vial.content)]
        raise CannotRead("not_to_be_read", f"{words} Put that right under Receive first.")
    return fish


def _species_of(fish: Fish) -> LakeSpecies | None:
    return LakeSpecies.objects.filter(lake=fish.lake_id, species=fish.species_id).first()


def _questions(
    fish: Fish, species: LakeSpecies | None, annuli: int, margin: int | None, result: AgeResult
) -> tuple[Question, ...]:
    asked = age_questions(result.age, fish.species.plausible_max_age_years)
    needed = fish.caught_on and margin_needed(fish.caught_on, rules.calendar_of(species))
    if annuli == 0 or margin is not None or not needed:
        return asked
    sentence = f"{result.sentence} Give the margin, 1 to 4. Can it not be told?"
    return (*asked, Question(MARGIN_NEEDED, "margin", sentence))


def _answered(own: QuerySet[Reading], annuli: int, margin: int | None) -> set[str]:
    """Collect what this reader said yes to before, for this very count."""
    same = own.filter(annuli=annuli, margin=margin)
    return {code for codes in same.values_list("slip_answers", flat=True) for code in codes}


def _mark_read(vial: Vial, reader: User, now: datetime) -> None:
    """Say that the vial is read. One that lay under the scope has also been received."""
    before = (vial.state, vial.received_at)
    if vial.state != Vial.State.ARCHIVED:
        vial.state = Vial.State.READ
    if vial.received_at is None:
        vial.received_at, vial.received_by = now, reader
    if (vial.state, vial.received_at) != before:
        vial.save()


@transaction.atomic
def work_out_age(fish: Fish, *, now: datetime) -> Age | None:
    """Make the fish's age anew from its readings; a decided age stays as it was decided.

    Call it after anything that an age rests on has changed: a reading, the catch date, the
    vial, or the days of the species at the lake.
    """
    _lock(fish)
    age = Age.objects.filter(fish=fish).first()
    species = _species_of(fish)
    readings = rules.aged(Reading.objects.filter(vial=fish.vial_id), fish, species)
    if age is not None and age.standing == Age.Standing.DECIDED:
        _look_again(age, readings, now)
    elif readings:
        age = _work_out(age or Age(fish=fish), fish, species, rules.outcome_of(readings), now)
    elif age is not None:
        age.delete()
        age = None
    refresh_progress([fish.pk])
    return age


@transaction.atomic
def work_out_ages(lake: Lake, *, now: datetime) -> int:
    """Make the ages of every fish read at a lake anew; say how many are another now.

    Call it after the days of a species at the lake were changed.
    """
    fish = Fish.objects.filter(lake=lake, vial__readings__isnull=False).distinct()
    changed = 0
    for one in fish.select_related("vial", "species"):
        before = Age.objects.filter(fish=one).values_list("age_years", "standing").first()
        after = work_out_age(one, now=now)
        changed += before != (after and (after.age_years, after.standing))
    return changed


def _lock(fish: Fish) -> None:
    if fish.vial_id is not None:
        Vial.objects.select_for_update().get(pk=fish.vial_id)


def _work_out(
    age: Age, fish: Fish, species: LakeSpecies | None, outcome: rules.Outcome, now: datetime
) -> Age:
    before = _facts(age)
    age.standing, age.rule = outcome.standing, outcome.rule
    age.flags, age.readers = list(outcome.flags), outcome.readers
    age.decided_by, age.decided_at, age.note = None, None, ""
    try:
        _fill(age, outcome.age_years, fish, species)
    except CannotAge as problem:
        _fill(age, None, fish, species)
        age.standing, age.rule = Age.Standing.TO_SETTLE, problem.code
    if _facts(age) != before:
        age.worked_out_at = now
        age.save()
    return age


def _facts(age: Age) -> dict[str, object]:
    fields = [field.attname for field in Age._meta.concrete_fields]
    return {name: getattr(age, name) for name in fields if name != "worked_out_at"}


def _fill(age: Age, years: int | None, fish: Fish, species: LakeSpecies | None) -> None:
    """Set the age and what follows from it: all of it, or nothing if it cannot be."""
    if years is None or fish.caught_on is None:
        age.age_years = age.year_class = age.decimal_age_years = age.growing_seasons = None
        return
    calendar = rules.calendar_of(species)
    year_class = year_class_of(years, fish.caught_on, calendar)
    age.decimal_age_years = decimal_age(year_class, fish.caught_on, calendar)
    age.growing_seasons = growing_seasons(years, fish.caught_on, calendar)
    age.age_years, age.year_class = years, year_class
    if years > fish.species.plausible_max_age_years:
        age.flags = [*age.flags, rules.ABOVE_HIGHEST]


def _look_again(age: Age, readings: list[rules.Aged], now: datetime) -> None:
    """Note on a decided age that somebody has read otherwise since; the decision stands."""
    before = _facts(age)
    since = (one for one in readings if age.decided_at and one.reading.read_at > age.decided_at)
    differs = any(one.counts and one.result.age != age.age_years for one in since)
    flags = [flag for flag in age.flags if flag != rules.READ_SINCE]
    age.flags = [*flags, rules.READ_SINCE] if differs else flags
    age.readers = sum(one.counts for one in readings)
    if _facts(age) != before:
        age.worked_out_at = now
        age.save()


@transaction.atomic
def decide_age(*, fish: Fish, age_years: int, note: str, by: User, now: datetime) -> Age:
    """Set the age of a fish whose readings do not, with a note of how it was come to.

    :raises CannotDecide: without a reading or a note, or if the fish had not hatched by then
    """
    _lock(fish)
    species = _species_of(fish)
    readings = rules.aged(Reading.objects.filter(vial=fish.vial_id), fish, species)
    if fish.vial_id is None or not readings:
        raise CannotDecide("no_reading", "Nobody has read this fish, so there is no age to decide.")
    if fish.caught_on is None:
        raise CannotDecide("no_catch_date", "This fish has no catch date, so no age can be told.")
    if not note.strip():
        raise CannotDecide(
            "no_note",
            "Say how the age was come to: a section, read together, a third reader.",
            "note",
        )
    age = Age.objects.filter(fish=fish).first() or Age(fish=fish)
    age.standing, age.rule, age.flags = Age.Standing.DECIDED, rules.DECIDED, []
    try:
        _fill(age, age_years, fish, species)
    except CannotAge as problem:
        raise CannotDecide(problem.code, problem.sentence) from problem
    age.readers = sum(one.counts for one in readings)
    age.decided_by, age.decided_at, age.note = by, now, note.strip()
    age.worked_out_at = now
    age.save()
    refresh_progress([fish.pk])
    return age


@transaction.atomic
def undo_decision(*, fish: Fish, now: datetime) -> Age | None:
    """Take a decision back: the age is what the readings come to by themselves.

    :raises CannotDecide: if the age was not decided
    """
    _lock(fish)
    age = Age.objects.filter(fish=fish, standing=Age.Standing.DECIDED).first()
    if age is None:
        raise CannotDecide("not_decided", "This age was not decided, so there is nothing to undo.")
    species = _species_of(fish)
    readings = rules.aged(Reading.objects.filter(vial=fish.vial_id), fish, species)
    if not readings:
        age.delete()
        refresh_progress([fish.pk])
        return None
    age = _work_out(age, fish, species, rules.outcome_of(readings), now)
    refresh_progress([fish.pk])
    return age
