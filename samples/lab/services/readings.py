"""Saving a reading, and taking it back.

The vial's row is locked first, always: two readers who save at once come one after the
other, and the second sees what the first wrote.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from django.db.models import QuerySet

from samples.accounts.permissions import Permission, has_permission
from samples.lab import rules
from samples.lab.queries import NOT_TO_BE_READ
from samples.lab.services.ages import oldest_plausible, species_of, work_out_age
from samples.lab.services.errors import (
    CannotRead,
    CannotWithdrawReading,
    ReadingNeedsConfirmation,
)
from samples.lab.services.lengths import has_seen_length
from samples.models import (
    Age,
    Fish,
    LakeSpecies,
    Margin,
    Reading,
    User,
    Vial,
    atomic_with_revision,
    out_of_dried_trays,
)
from samples.rules.ageing import AgeResult, CannotAge, margin_needed
from samples.rules.plausible import Question, age_questions

MARGIN_NEEDED = "margin_needed"
# As much as the history keeps of a reason.
_LONGEST_REASON = 100
_FIELDS = {
    "negative_count": "annuli",
    "unknown_margin": "margin",
    "margin_without_annuli": "margin",
    "margin_contradicts_edge": "annulus_at_edge",
}


@dataclass(frozen=True, slots=True)
class Saved:
    """A reading that was kept, what the rule makes of it, and the fish's age as it stands."""

    reading: Reading
    result: AgeResult
    age: Age | None
    created: bool


@atomic_with_revision()
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
    annulus_at_edge: bool | Literal["not_said"] | None = None,
    note: str | None = None,
    side: str | None = None,
    axis: str | None = None,
    light: str | None = None,
    confirmed: Collection[str] = (),
) -> Saved:
    """Keep a reading; typed again in the same sitting it is a correction of the first.

    What is None of edge, note, side, axis and light stays as it was; an edge that is
    "not_said" is cleared.

    :raises CannotRead: if the vial cannot be read, or the parts of the reading contradict
    :raises ReadingAsked: about a likely slip that is not among ``confirmed``
    """
    vial = Vial.objects.select_for_update().get(pk=vial.pk)
    fish = _fish_to_read(vial)
    species = species_of(fish)
    own = Reading.objects.filter(vial=vial, reader=reader)
    reading = own.filter(sitting_on=sitting_on, method=method).first()
    edge = None if annulus_at_edge == "not_said" else annulus_at_edge
    if annulus_at_edge is None and reading is not None:
        edge = _edge_that_stays(reading, annuli, margin)
    try:
        result = rules.age_of_count(
            fish, species, annuli=annuli, margin=margin, annulus_at_edge=edge
        )
        questions = _questions(fish, species, annuli, margin, result)
    except CannotAge as problem:
        field = _FIELDS.get(problem.code, "vial")
        raise CannotRead(problem.code, problem.sentence, field) from problem
    earlier = _answered(own, annuli, margin)
    answered = earlier | set(confirmed)
    unanswered = tuple(question for question in questions if question.code not in answered)
    if unanswered:
        raise ReadingNeedsConfirmation(unanswered)

    created = reading is None
    reading = reading or Reading(vial=vial, reader=reader, sitting_on=sitting_on, method=method)
    words = {"note": note, "side": side, "axis": axis, "light": light}
    facts = {
        "annuli": annuli,
        "margin": margin,
        "annulus_at_edge": edge,
        "readability": readability,
        "length_was_hidden": length_was_hidden and _is_blind(reading, vial, annuli, margin),
        "slip_answers": sorted(
            {*(question.code for question in questions), *(earlier & {rules.VIAL_CHECKED})}
        ),
        **{name: text for name, text in words.items() if text is not None},
    }
    if not created and reading.annuli != annuli:
        # Rings measured for another count are none of this one.
        reading.radii.all().delete()
        reading.marked_radii.all().delete()
        reading.edge_um = None
    if created or any(getattr(reading, name) != value for name, value in facts.items()):
        for name, value in facts.items():
            setattr(reading, name, value)
        reading.read_at = now
        reading.save()
    _mark_read(vial, reader, now)
    return Saved(reading, result, work_out_age(fish, now=now), created)


def _is_blind(reading: Reading, vial: Vial, annuli: int, margin: int | None) -> bool:
    """Return whether this count was made without the length, as far as pages showed it.

    What is only saved once more stays as it was.
    """
    if reading.pk and (reading.annuli, reading.margin) == (annuli, margin):
        return reading.length_was_hidden
    return not has_seen_length(vial, reading.reader)


def _edge_that_stays(reading: Reading, annuli: int, margin: int | None) -> bool | None:
    """Return the edge noted before, unless what is typed now speaks against it."""
    edge = reading.annulus_at_edge
    if edge is None or (annuli == 0 and edge):
        return None
    return edge if margin is None or edge == (margin == Margin.ANNULUS) else None


def _fish_to_read(vial: Vial) -> Fish:
    fish = Fish.objects.filter(vial=vial).select_related("species").first()
    if fish is None:
        raise CannotRead("no_fish", "No fish is logged for this vial, so it cannot be read yet.")
    if vial.state == Vial.State.VOID:
        raise CannotRead("void_vial", "This vial is void.")
    if vial.content in NOT_TO_BE_READ:
        words = NOT_TO_BE_READ[Vial.Content(vial.content)]
        raise CannotRead("not_to_be_read", f"{words} Fix that under Receive vials first.")
    return fish


def _questions(
    fish: Fish, species: LakeSpecies | None, annuli: int, margin: int | None, result: AgeResult
) -> tuple[Question, ...]:
    asked = age_questions(result.age, oldest_plausible(fish, species), annuli)
    needed = fish.caught_on and margin_needed(fish.caught_on, rules.calendar_of(species))
    if annuli == 0 or margin is not None or not needed:
        return asked
    sentence = f"{result.sentence} Enter the margin, 1 to 4."
    return (*asked, Question(MARGIN_NEEDED, "margin", sentence))


def _answered(own: QuerySet[Reading], annuli: int, margin: int | None) -> set[str]:
    """Collect what this reader said yes to before, for this very count."""
    same = own.filter(annuli=annuli, margin=margin)
    return {code for codes in same.values_list("slip_answers", flat=True) for code in codes}


def _mark_read(vial: Vial, reader: User, now: datetime) -> None:
    """Mark the vial as read. One that lay under the scope has also been received."""
    before = (vial.state, vial.received_at)
    if vial.state != Vial.State.ARCHIVED:
        vial.state = Vial.State.READ
    if vial.received_at is None:
        vial.received_at, vial.received_by = now, reader
    if (vial.state, vial.received_at) != before:
        _save_vial(vial, actor=reader, now=now)


def _save_vial(vial: Vial, *, actor: User, now: datetime) -> None:
    """Save a vial, with who moved it and when in its history."""
    vial._history_user = actor  # type: ignore[attr-defined]
    vial._history_date = now  # type: ignore[attr-defined]
    vial.save()


@atomic_with_revision()
def withdraw_reading(*, reading: Reading, actor: User, now: datetime, note: str = "") -> Vial:
    """Take a reading back that was typed for the wrong vial; its history keeps what it said.

    A vial that nobody else has read stands where it stood before it was read.

    :raises CannotTakeBack: if it is somebody else's, or a decided age rests on it alone
    """
    vial = Vial.objects.select_for_update().get(pk=reading.vial_id)
    reading = _reading_that_stands(reading)
    if reading.reader_id != actor.pk and not has_permission(
        actor, Permission.DECIDE_AGES, vial.lake
    ):
        raise CannotWithdrawReading(
            "not_yours", "Only its reader or the biologist can delete a reading."
        )
    fish = Fish.objects.filter(vial=vial).select_related("species").first()
    is_last = not Reading.objects.filter(vial=vial).exclude(pk=reading.pk).exists()
    if is_last and Age.objects.filter(fish=fish, standing=Age.Standing.DECIDED).exists():
        raise CannotWithdrawReading(
            "decided", "The biologist decided the age from this reading. Undo the decision first."
        )
    reading._history_user = actor  # type: ignore[attr-defined]
    reading._history_date = now  # type: ignore[attr-defined]
    reading._change_reason = note.strip()[:_LONGEST_REASON] or None  # type: ignore[attr-defined]
    reading.delete()
    if is_last and vial.state == Vial.State.READ:
        _put_back(vial, actor=actor, now=now)
    if fish is not None:
        work_out_age(fish, now=now)
    return vial


def _reading_that_stands(reading: Reading) -> Reading:
    found = Reading.objects.filter(pk=reading.pk).first()
    if found is None:
        raise CannotWithdrawReading("gone", "This reading is already deleted.")
    return found


def _put_back(vial: Vial, *, actor: User, now: datetime) -> None:
    """Let a vial stand where it stood before its only reading.

    One that was taken out of its box stays out, and one whose tray was rinsed is cleared.
    """
    later = [Vial.State.READ, Vial.State.ARCHIVED, Vial.State.LOST, Vial.State.VOID]
    before = vial.history.exclude(state__in=later).order_by("-history_date", "-history_id").first()
    if before is None:
        vial.state = Vial.State.RECEIVED
    else:
        vial.state = before.state
        vial.received_at, vial.received_by_id = before.received_at, before.received_by_id
    vial.state = out_of_dried_trays(vial, Vial.State(vial.state))
    _save_vial(vial, actor=actor, now=now)
