"""Names in free text, taken out of rows and of their history."""

import json
import re
from collections.abc import Iterable, Sequence
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import JSONField, Model, Q, TextField
from django.db.models.functions import Cast

from samples.models import (
    Age,
    AgeAsGiven,
    AgeDecision,
    ArchiveBox,
    Ask,
    AskedFish,
    DonorMessage,
    Entry,
    Fish,
    HeldEntry,
    Lake,
    LakeStock,
    Party,
    Picture,
    Preparation,
    Reading,
    ReferenceOtolith,
    Report,
    ReportBlock,
    SavedView,
    SecondReadingRequest,
    SectionRequest,
    SessionOtolith,
    Vial,
)

IN_PLACE = "[removed]"
# A short name is met as another word: it is taken out as it is written alone.
SHORT = 4

# What people type into freely, and the way from a row to its lake.
FREE_TEXT: tuple[tuple[type[Model], str, tuple[str, ...]], ...] = (
    (Fish, "lake", ("note", "tag_number", "vial_number_said")),
    (Vial, "lake", ("note",)),
    (Party, "lake", ("interview_key", "last_number_said")),
    (Entry, "party__lake", ("said",)),
    (Entry, "fish__lake", ("said",)),
    (HeldEntry, "lake", ("said", "note")),
    (Age, "fish__lake", ("note",)),
    (AgeDecision, "fish__lake", ("note",)),
    (AgeAsGiven, "fish__lake", ("source",)),
    (Reading, "vial__lake", ("note", "structure", "light", "axis")),
    (SessionOtolith, "session__lake", ("note",)),
    (SecondReadingRequest, "vial__lake", ("note",)),
    (ReferenceOtolith, "vial__lake", ("source",)),
    (Preparation, "lake", ("note", "slide", "slide_box", "spoiled_why")),
    (SectionRequest, "vial__lake", ("why",)),
    (Picture, "lake", ("note", "original_name")),
    (ArchiveBox, "lake", ("place",)),
    (LakeStock, "lake", ("note",)),
    (SavedView, "lake", ("name", "query")),
    (Ask, "season__lake", ("enough",)),
    (AskedFish, "ask__season__lake", ("words",)),
    (DonorMessage, "lake", ("text",)),
    (Report, "lake", ("title", "authors", "words")),
    (ReportBlock, "report__lake", ("words",)),
)


def take_names_out(lake: Lake, names: Iterable[str]) -> int:
    """Replace names wherever free text of a lake holds them; return in how many rows.

    A name counts as a whole word, in capitals or not; fingerprints of entries stay, so that a
    phone that sends one again is still told that it is on record.
    """
    wanted = [name for name in dict.fromkeys(" ".join(one.split()) for one in names) if name]
    if not wanted:
        return 0
    patterns = [_pattern(name) for name in wanted]
    return sum(
        _rewrite(table, path, columns, lake, wanted, patterns)
        for model, path, columns in FREE_TEXT
        for table in _tables_of(model)
    )


def _tables_of(model: type[Model]) -> list[type[Model]]:
    """Return a table and, where it has one, that of its history."""
    history = getattr(model, "history", None)
    return [model, history.model] if history is not None else [model]


def _pattern(name: str) -> re.Pattern[str]:
    flags = re.IGNORECASE if len(name) >= SHORT else 0
    # However many blanks were typed between its parts.
    words = r"\s+".join(re.escape(part) for part in name.split())
    return re.compile(rf"(?<!\w){words}(?!\w)", flags)


def _rewrite(
    table: type[Model],
    path: str,
    columns: Sequence[str],
    lake: Lake,
    names: Sequence[str],
    patterns: Sequence[re.Pattern[str]],
) -> int:
    rows = table._default_manager.filter(**{path: lake}).order_by()
    may_hold = Q()
    for column in columns:
        is_json = isinstance(table._meta.get_field(column), JSONField)
        if is_json:
            rows = rows.alias(**{f"{column}_text": Cast(column, TextField())})
        for name in names:
            # The longest word finds it, however many blanks there are; SQLite escapes in JSON.
            word = max(name.split(), key=len)
            for written in {word, json.dumps(word)[1:-1]} if is_json else {word}:
                at = f"{column}_text" if is_json else column
                may_hold |= Q(**{f"{at}__icontains": written})
    changed = 0
    for pk, *values in list(rows.filter(may_hold).values_list("pk", *columns)):
        without = [
            _shortened(_without(value, patterns), table, column)
            for column, value in zip(columns, values, strict=True)
        ]
        if without != values:
            _write(table, pk, columns, values, without)
            changed += 1
    return changed


def _write(
    table: type[Model],
    pk: int,
    columns: Sequence[str],
    before: Sequence[Any],
    after: Sequence[Any],
) -> None:
    """Write a row; its number tells it apart where another has the same words by now."""
    row = table._default_manager.filter(pk=pk)
    try:
        with transaction.atomic():
            row.update(**dict(zip(columns, after, strict=True)))
    except IntegrityError:
        row.update(
            **{
                column: _shortened(new, table, column, ending=f" {pk}")
                for column, old, new in zip(columns, before, after, strict=True)
                if old != new
            }
        )


def _without(value: Any, patterns: Sequence[re.Pattern[str]]) -> Any:
    """Return a text, or what JSON holds of texts, with each name replaced."""
    if isinstance(value, dict):
        return {key: _without(one, patterns) for key, one in value.items()}
    if isinstance(value, list):
        return [_without(one, patterns) for one in value]
    if not isinstance(value, str):
        return value
    for pattern in patterns:
        value = pattern.sub(IN_PLACE, value)
    return value


def _shortened(value: Any, table: type[Model], column: str, *, ending: str = "") -> Any:
    """Return a text that still fits its column: what replaces a name may be longer."""
    if not isinstance(value, str):
        return value
    longest = getattr(table._meta.get_field(column), "max_length", None)
    return (value[: longest - len(ending)] if longest else value) + ending
