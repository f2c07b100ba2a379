"""Fields of a form, made of the specs of an entry."""

from typing import Any

from django import forms

from samples.form_parts import PlainDate, TypedNumber
from samples.ramp.entry import EntryField


def digits() -> forms.TextInput:
    """Return a text input that opens a phone's digit pad."""
    return forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


def form_field_of(
    one: EntryField,
    *,
    is_required: bool = False,
    is_chosen: bool = False,
    widget: forms.Widget | type[forms.Widget] | None = None,
) -> forms.Field:
    """Return the form's field for a field of an entry.

    ``is_chosen``: one of a list that the form sets, such as the arms of a lake.
    """
    spec, limits = one.spec, one.spec.limits
    common: dict[str, Any] = {
        "label": spec.label,
        "required": one.is_required or is_required,
        "help_text": spec.hint,
    }
    if widget is not None:
        common["widget"] = widget
    if spec.choices or is_chosen:
        field: forms.Field = forms.ChoiceField(choices=spec.choices, **common)
        not_listed = f"%(value)s is not in the list. {spec.error}".strip()
        field.error_messages["invalid_choice"] = not_listed
    elif limits.get("type") == "integer":
        field = TypedNumber(unreadable=spec.error, **common)
    elif limits.get("format") == "date":
        field = PlainDate(needed=spec.error, **common)
    else:
        field = forms.CharField(max_length=limits.get("maxLength"), **common)
    if spec.error:
        field.error_messages["required"] = spec.error
    return field
