"""What was read and decided, as the history tells it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.formats import date_format

from samples.lab import rules
from samples.models import (
    Age,
    AgeDecision,
    Fish,
    Preparation,
    PreparationStep,
    Reading,
    SectionRequest,
)


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One thing that was done, as the history tells it."""

    at: datetime
    who: str
    what: str
    # Of an age: somebody decided it, and not the rule.
    is_decision: bool = False


def history_of(fish: Fish) -> list[HistoryLine]:
    """Return what was read and decided for a fish, and by whom, the latest first."""
    readings = history_of_readings(fish.vial_id) if fish.vial_id else []
    return sorted([*readings, *history_of_ages(fish.pk)], key=lambda line: line.at, reverse=True)


def history_of_readings(vial_id: int) -> list[HistoryLine]:
    """Return every reading of a vial, its corrections and what was deleted."""
    rows = Reading.history.filter(vial_id=vial_id).select_related("reader", "history_user")
    lines: list[HistoryLine] = []
    said: dict[int, str] = {}
    checked: set[datetime] = set()
    for row in rows.order_by("history_date", "history_id"):
        is_check = row.history_type == "~" and rules.VIAL_CHECKED in row.slip_answers
        if is_check and row.history_change_reason and row.history_date not in checked:
            # All readings of a vial are checked at once.
            checked.add(row.history_date)
            words = f"Vial checked: {row.history_change_reason}"
            lines.append(HistoryLine(row.history_date, str(row.history_user), words))
        # Rings were measured on it since: what was counted is as it was.
        if row.history_type != "~" or said.get(row.id) != _counted(row):
            lines.append(_reading_line(row))
        said[row.id] = _counted(row)
    return lines


def history_of_ages(fish_id: int) -> list[HistoryLine]:
    """Return what became of a fish's age: by the rule, by decision, or taken back."""
    rows = Age.history.filter(fish_id=fish_id).select_related("decided_by")
    # A decision on an age stands in the history of the age.
    others = AgeDecision.objects.filter(fish=fish_id).exclude(outcome__in=["age", "no_age"])
    asked = [
        HistoryLine(
            one.decided_at,
            str(one.decided_by),
            _with_note(one.get_outcome_display(), one.note),
            is_decision=True,
        )
        for one in others.select_related("decided_by").order_by("number")
    ]
    return asked + [
        HistoryLine(
            row.decided_at or row.worked_out_at,
            str(row.decided_by or "Aging rule"),
            _age_text(row),
            is_decision=row.decided_by_id is not None,
        )
        for row in rows.order_by("history_date", "history_id")
    ]


def _reading_line(row: Any) -> HistoryLine:
    """Return the line of one reading; it may be taken back by another than its reader,
    and later.
    """
    if row.history_type != "-":
        return HistoryLine(row.read_at, str(row.reader), _reading_text(row))
    words = _reading_text(row)
    if row.history_user_id not in {None, row.reader_id}:
        words = f"{words}, read by {row.reader}"
    if row.history_change_reason:
        words = f"{words}: {row.history_change_reason}"
    return HistoryLine(row.history_date, str(row.history_user or row.reader), words)


def _reading_text(row: Any) -> str:
    """Return a line with what a reading was at one time; the row is one of its history."""
    verb = {"+": "Read", "~": "Corrected to", "-": "Deleted"}[row.history_type]
    return f"{verb} {_counted(row)}"


def _counted(row: Any) -> str:
    annuli = "1 annulus" if row.annuli == 1 else f"{row.annuli} annuli"
    margin = f"margin {row.margin}" if row.margin else "no margin code"
    note = f" ({row.note.rstrip('.')})" if row.note else ""
    return f"{annuli}, {margin}, {row.get_method_display().lower()}{note}"


def _age_text(row: Any) -> str:
    if row.history_type == "-":
        return "Age deleted with its readings"
    if row.age_years is None:
        return _with_note(row.get_standing_display(), row.note)
    words = f"Age {row.age_years}, year class {row.year_class}: {row.get_standing_display()}"
    return _with_note(words, row.note)


def _with_note(words: str, note: str) -> str:
    return f"{words} ({note})" if note else words


def history_of_preparations(vial_id: int) -> list[HistoryLine]:
    """Return what was asked for and done to prepare the otoliths of a vial. It tells no count."""
    asked = SectionRequest.objects.filter(vial=vial_id).select_related("asked_by")
    made = Preparation.objects.filter(vial=vial_id).select_related("made_by", "spoiled_by")
    steps = PreparationStep.objects.filter(preparation__in=made)
    lines = [HistoryLine(one.asked_at, str(one.asked_by), "Section asked for") for one in asked]
    for one in made:
        what = f"Preparation {one.number} begun: {one.get_kind_display().lower()}"
        lines.append(HistoryLine(one.made_at, str(one.made_by), what))
        if one.spoiled_at is not None:
            spoiled = f"Preparation {one.number} spoiled: {one.spoiled_why}"
            lines.append(HistoryLine(one.spoiled_at, str(one.spoiled_by), spoiled))
    for step in steps.select_related("preparation", "done_by") if made else []:
        done = f"Preparation {step.preparation.number}: {step.get_kind_display().lower()}"
        day = date_format(step.done_on)
        lines.append(HistoryLine(step.noted_at, str(step.done_by), f"{done} {day}"))
    return lines
