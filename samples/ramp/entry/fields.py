"""The few kinds of fields that entries have. Each function returns the spec of one field."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from samples.ramp.entry.spec import Spec
from samples.rules.vial_number import TypedVial, read_vial
from samples.units import LengthUnit, Measured, parse_length

MOST_TEXT = 80
MOST_WHOLE_NUMBER = 32_000
# Phone clocks lie by days, and one reset to its beginning by decades; beyond it is no clock.
FIRST_YEAR, LAST_YEAR = 1970, 2200
LONGEST_NUMBER = 10


def text(label: str, *, error: str = "", most: int = MOST_TEXT, **more: Any) -> Spec:
    """Return the spec of a plain text."""

    def parse(typed: str) -> str:
        if not typed:
            raise ValueError(error)
        return typed

    limits = {"type": "string", "maxLength": most}
    return Spec(label=label, error=error, parse=parse, limits=limits, **more)


def whole_number(
    label: str,
    *,
    least: int = 0,
    most: int = MOST_WHOLE_NUMBER,
    such_as: int | None = None,
    error: str = "",
    **more: Any,
) -> Spec:
    """Return the spec of a whole number, its limits included."""
    example = "" if such_as is None else f", such as {such_as:,}"
    sentence = error or f"Enter a whole number from {least} to {most:,}{example}."

    def parse(typed: str) -> int:
        digits = typed.lstrip("0") or "0"
        is_whole = typed.isascii() and typed.isdigit() and len(digits) <= LONGEST_NUMBER
        if not is_whole or not least <= int(digits) <= most:
            raise ValueError(sentence)
        return int(digits)

    limits = {"type": "integer", "minimum": least, "maximum": most}
    return Spec(label=label, error=sentence, parse=parse, limits=limits, **more)


def choice(label: str, choices: Iterable[tuple[str, str]], *, error: str, **more: Any) -> Spec:
    """Return the spec of one code out of a few."""
    pairs = tuple((str(code), str(name)) for code, name in choices)
    codes = [code for code, _ in pairs]

    def parse(typed: str) -> str:
        if typed not in codes:
            raise ValueError(error)
        return typed

    limits = {"type": "string", "enum": codes}
    return Spec(label=label, error=error, parse=parse, limits=limits, choices=pairs, **more)


def mapped(label: str, values: Mapping[str, Any], *, error: str, **more: Any) -> Spec:
    """Return the spec of a code that stands for a value of another type."""

    def parse(typed: str) -> Any:
        if typed not in values:
            raise ValueError(error)
        return values[typed]

    limits = more.pop("limits", {"type": "string", "enum": list(values)})
    return Spec(label=label, error=error, parse=parse, limits=limits, **more)


def day(label: str, *, error: str, **more: Any) -> Spec:
    """Return the spec of a date."""
    limits = {"type": "string", "format": "date"}
    return Spec(label=label, error=error, parse=date.fromisoformat, limits=limits, **more)


def instant(label: str, **more: Any) -> Spec:
    """Return the spec of an instant with its offset, by a clock that can be one."""
    error = "Enter date, time and offset, such as 2026-05-06T17:30:00-05:00."

    def parse(typed: str) -> datetime:
        at = datetime.fromisoformat(typed)
        if at.tzinfo is None or not FIRST_YEAR <= at.year <= LAST_YEAR:
            raise ValueError(error)
        return at

    limits = {"type": "string", "format": "date-time"}
    return Spec(label=label, error=error, parse=parse, limits=limits, **more)


def made_id(label: str, **more: Any) -> Spec:
    """Return the spec of an id that was made on the phone."""
    error = "An id made on the phone (a UUID) is needed here."
    limits = {"type": "string", "format": "uuid"}
    return Spec(label=label, error=error, parse=UUID, limits=limits, **more)


def typed_vial(label: str, *, error: str = "", **more: Any) -> Spec:
    """Return the spec of a vial number: read here once, kept as it was typed."""

    def parse(typed: str) -> TypedVial:
        if not typed:
            raise ValueError(error)
        return read_vial(typed)

    limits = {"type": "string", "maxLength": MOST_TEXT}
    return Spec(label=label, error=error, parse=parse, limits=limits, **more)


def measured_length(label: str, **more: Any) -> Spec:
    """Return the spec of a length, with the unit it was measured in beside it."""
    units = [(unit.value, unit.value) for unit in LengthUnit]

    def parse(typed: str, unit: str = LengthUnit.INCH.value) -> Measured:
        is_mm = unit == LengthUnit.MILLIMETRE.value
        return parse_length(typed, LengthUnit.MILLIMETRE if is_mm else LengthUnit.INCH)

    return Spec(
        label=label,
        error="Enter length as one number, such as 10.1.",
        parse=parse,
        limits={"type": "string", "maxLength": MOST_TEXT},
        beside={"unit": choice("Unit", units, error="Inches (in) or mm?")},
        **more,
    )


def codes(label: str, **more: Any) -> Spec:
    """Return the spec of a list of codes, which is kept in order and without doubles."""
    error = "Enter a list of codes of questions that were answered."

    def parse(sent: Any) -> tuple[str, ...]:
        if not isinstance(sent, list) or not all(isinstance(code, str) for code in sent):
            raise ValueError(error)
        return tuple(sorted(set(sent)))

    limits = {"type": "array", "items": {"type": "string"}}
    return Spec(label=label, error=error, parse=parse, limits=limits, **more)
