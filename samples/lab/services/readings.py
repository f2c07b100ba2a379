"""Saving a reading.

The vial's row is locked first, always: two readers who save at once come one after the
other, and the second sees what the first wrote.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from django.db.models import QuerySet

from samples.lab import rules
from samples.lab.queries import NOT_TO_BE_READ
from samples.lab.services.ages import oldest_plausible, species_of, work_out_age
from samples.lab.services.drawing import draw_second_reading
from samples.lab.services.errors import (
    CannotRead,
    ReadingNeedsConfirmation,
)
from samples.lab.services.lengths import has_seen_length
from samples.lab.services.sections import follow_reading
from samples.models import (
    Age,
    Fish,
    LakeSpecies,
    Margin,
    Preparation,
    Reading,
    ReadingStream,
    SecondReadingDraw,
    SecondReadingRequest,
    SessionOtolith,
    User,
    Vial,
    atomic_with_revision,
    without_reference,
)
from samples.models.signing import save_signed
from samples.rules.ageing import AgeResult, CannotAge, margin_needed
from samples.rules.plausible import Question, age_questions

MARGIN_NEEDED = "margin_needed"
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
    otolith: SessionOtolith | None = None,
    earlier_were_hidden: bool | None = None,
    annulus_at_edge: bool | Literal["not_said"] | None = None,
    note: str | None = None,
    side: str | None = None,
    axis: str | None = None,
    light: str | None = None,
    preparation: Preparation | None = None,
    needs_section: bool | None = None,
    confirmed: Collection[str] = (),
) -> Saved:
    """Keep a reading; typed again before its session is closed, or on the same day in the grid,
    it is a correction of the first. A reading of a closed session stays, and a new one is added.

    What is None of edge, note, side, axis, light and the need of a section stays as it was; an
    edge that is "not_said" is cleared. Readings of two preparations are two readings.

    :raises CannotRead: if the vial cannot be read, or the parts of the reading contradict
    :raises ReadingAsked: about a likely slip that is not among ``confirmed``
    """
    vial = Vial.objects.select_for_update().get(pk=vial.pk)
    fish = _fish_to_read(vial)
    species = species_of(fish)
    preparation = _preparation_to_read(preparation, vial, method)
    own = Reading.objects.filter(vial=vial, reader=reader)
    reading = _to_correct(own, otolith, sitting_on, method, preparation)
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
    hidden = length_was_hidden if earlier_were_hidden is None else earlier_were_hidden
    reading = reading or Reading(
        vial=vial,
        reader=reader,
        sitting_on=sitting_on,
        method=method,
        preparation=preparation,
        session_otolith=otolith,
        stream=_stream_of(vial, reader, otolith, earlier_hidden=hidden),
    )
    asked_before = reading.needs_section
    words = {"note": note, "side": side, "axis": axis, "light": light}
    facts = {
        "annuli": annuli,
        "margin": margin,
        "annulus_at_edge": edge,
        "readability": readability,
        "length_was_hidden": length_was_hidden and _is_blind(reading, vial, annuli, margin),
        "earlier_were_hidden": hidden,
        "slip_answers": sorted(
            {*(question.code for question in questions), *(earlier & {rules.VIAL_CHECKED})}
        ),
        **{name: text for name, text in words.items() if text is not None},
        "needs_section": asked_before if needs_section is None else needs_section,
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
    if asked_before or reading.needs_section:
        follow_reading(reading, now=now)
    if reading.stream != ReadingStream.REFERENCE:
        _mark_read(vial, reader, now)
    if created:
        _note_stream(reading, fish, species, now)
    return Saved(reading, result, work_out_age(fish, now=now), created)


def _is_blind(reading: Reading, vial: Vial, annuli: int, margin: int | None) -> bool:
    """Return whether this count was made without the length, as far as pages showed it.

    What is only saved once more stays as it was.
    """
    if reading.pk and (reading.annuli, reading.margin) == (annuli, margin):
        return reading.length_was_hidden
    return not has_seen_length(vial, reading.reader)


def _preparation_to_read(
    preparation: Preparation | None, vial: Vial, method: str
) -> Preparation | None:
    """Return the preparation as it stands now: somebody may have spoiled it meanwhile."""
    if preparation is None:
        return None
    preparation = Preparation.objects.get(pk=preparation.pk)
    if preparation.vial_id != vial.pk:
        raise CannotRead("other_preparation", "This preparation is of another vial.", "preparation")
    if preparation.kind != method:
        raise CannotRead(
            "method_differs",
            f"Preparation {preparation.number} is of another method: "
            f"{preparation.get_kind_display().lower()}. Choose that method, or no preparation.",
            "preparation",
        )
    if preparation.spoiled_at is not None:
        raise CannotRead(
            "spoiled",
            f"Preparation {preparation.number} is spoiled. Choose another one.",
            "preparation",
        )
    return preparation


def _to_correct(
    own: QuerySet[Reading],
    otolith: SessionOtolith | None,
    sitting_on: date,
    method: str,
    preparation: Preparation | None,
) -> Reading | None:
    """Return the reader's own reading that is being typed again, if it may still be changed."""
    if otolith is not None:
        return own.filter(session_otolith=otolith).first()
    of_day = without_reference(
        own.filter(sitting_on=sitting_on, method=method, preparation=preparation)
    )
    return (
        of_day.filter(session_otolith__session__closed_at__isnull=True)
        .order_by("-read_at", "-pk")
        .first()
    )


def _stream_of(
    vial: Vial, reader: User, otolith: SessionOtolith | None, *, earlier_hidden: bool
) -> ReadingStream:
    """Return what a new reading is made for.

    A blind reading of a vial that was drawn counts toward precision wherever it was typed.
    """
    if otolith is not None and otolith.stream in {ReadingStream.HARD, ReadingStream.REFERENCE}:
        return ReadingStream(otolith.stream)
    earlier = without_reference(Reading.objects.filter(vial=vial))
    if not earlier.exists():
        return ReadingStream.FIRST
    if earlier.filter(reader=reader).exists():
        return ReadingStream.NOT_SAID
    if earlier_hidden and SecondReadingDraw.objects.filter(vial=vial, is_drawn=True).exists():
        return ReadingStream.SECOND
    asked = SecondReadingRequest.objects.filter(vial=vial, closed_at__isnull=True)
    return ReadingStream.HARD if asked.exists() else ReadingStream.NOT_SAID


def _note_stream(reading: Reading, fish: Fish, species: LakeSpecies | None, now: datetime) -> None:
    """Draw for a second reading after the first, and answer what was asked for by hand."""
    if reading.stream == ReadingStream.FIRST:
        draw_second_reading(reading.vial, fish, species, now=now)
    if reading.stream == ReadingStream.HARD:
        for request in SecondReadingRequest.objects.filter(
            vial=reading.vial_id, closed_at__isnull=True
        ):
            request.closed_at = now
            save_signed(request, actor=reading.reader, now=now)


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
        save_signed(vial, actor=reader, now=now)
