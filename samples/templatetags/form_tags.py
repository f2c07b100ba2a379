"""Questions that the field template asks of a field, and how the trade writes things."""

import re

from django import forms, template
from django.forms import BoundField
from django.utils.html import format_html

from samples.rules import vial_number
from samples.rules.weight import weight_text
from samples.units import LengthUnit, to_text

register = template.Library()

_NUMBER_FIRST = re.compile(r"\d{2} \d{4,6} \d\b")


@register.filter
def is_choice_row(field: BoundField) -> bool:
    """Return whether the field is drawn as a row of large faces."""
    return isinstance(field.field.widget, forms.RadioSelect)


@register.filter
def is_checkbox(field: BoundField) -> bool:
    return isinstance(field.field.widget, forms.CheckboxInput)


@register.filter
def described_by(field: BoundField) -> str:
    """Name the ids of the hint and of the error that belong to a field."""
    ids = [f"{field.auto_id}_helptext"] if field.help_text else []
    ids += [f"{field.auto_id}_error"] if field.errors else []
    return " ".join(ids)


@register.filter
def grouped(number: str) -> str:
    """Write a vial number as it is printed: 26 0147 3."""
    return vial_number.grouped(number) if number else ""


@register.filter
def grouped_if_read(typed: str) -> str:
    """Write a vial number that somebody typed as it is printed; what is none stays as typed."""
    try:
        return grouped(typed)
    except vial_number.VialNumberRefused:
        return typed


@register.filter
def number_large(words: object) -> str:
    """Set the vial number that a sentence begins with apart, to be read at arm's length."""
    sentence = str(words)
    number = _NUMBER_FIRST.match(sentence)
    if number is None:
        return sentence
    return format_html(
        '<strong class="vial number-large">{}</strong>{}', number[0], sentence[number.end() :]
    )


@register.filter
def in_unit(hundredths_mm: int, unit: str) -> str:
    """Write a length in a lake's unit, without the unit."""
    return to_text(hundredths_mm, LengthUnit(unit))


@register.filter
def thousands(number: int) -> str:
    """Write a count with a comma between its thousands: 21,400."""
    return f"{number:,}"


@register.filter
def in_weight_unit(grams: int, unit: str) -> str:
    """Write a weight in a lake's unit, with the unit."""
    return weight_text(grams, unit)
