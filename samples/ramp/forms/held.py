"""How the office resolves an entry, typed."""

from typing import Any

from django import forms

from samples.form_parts import PlainDate, PlainForm
from samples.models import Arm, Lake, Method


class KeepForm(PlainForm):
    """The held fish keeps the vial; the fish logged first gets another number, or waits."""

    other_number = forms.CharField(
        label="Vial for the fish logged first",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="Leave empty if you don't know it yet",
    )
    keep_note = forms.CharField(label="Note", required=False, max_length=300)


def confirm_field() -> forms.BooleanField:
    return forms.BooleanField(
        label="Save unlikely values as written",
        required=False,
        help_text="Check with the person who logged the fish first",
    )


class TripForm(PlainForm):
    """The trip of a fish that came without one."""

    arm = forms.ModelChoiceField(
        label="Arm",
        queryset=Arm.objects.none(),
        empty_label="Choose",
        error_messages={
            "required": "Choose an arm.",
            "invalid_choice": "Choose an arm from the list.",
        },
    )
    caught_on = PlainDate(label="Date caught", needed="Enter the date caught, such as May 6, 2026.")
    method = forms.ChoiceField(
        label="Method",
        choices=[("", "Choose"), *Method.choices],
        error_messages={"required": "Choose a method."},
    )
    trip_confirmed = confirm_field()
    trip_note = forms.CharField(label="Note", required=False, max_length=300)

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        arms = Arm.objects.filter(lake=lake).order_by("whole_lake", "position", "pk")
        self.fields["arm"].queryset = arms  # type: ignore[attr-defined]


class AsWrittenForm(PlainForm):
    """The fish is logged as it was written."""

    written_note = forms.CharField(label="Note", required=False, max_length=300)


class NewWordsForm(PlainForm):
    """The fish is changed to what the entry said the second time."""

    new_note = forms.CharField(label="Note", required=False, max_length=300)


class VialBackForm(PlainForm):
    """A void or lost vial is in use after all."""

    back_note = forms.CharField(label="Note", required=False, max_length=300)


class BothWaitForm(PlainForm):
    """Neither fish has the vial until somebody has looked into it."""

    wait_note = forms.CharField(label="Note", required=False, max_length=300)


class OtherNumberForm(PlainForm):
    """The held fish is logged under another number."""

    number = forms.CharField(
        label="Vial for this fish",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Enter the number on the vial's label."},
    )
    number_confirmed = confirm_field()
    number_note = forms.CharField(label="Note", required=False, max_length=300)


class TakeInForm(PlainForm):
    """A correction that came late is taken in as it was said."""

    in_note = forms.CharField(label="Note", required=False, max_length=300)


class AsideForm(PlainForm):
    """The entry is resolved without a fish."""

    note = forms.CharField(
        label="Reason",
        max_length=300,
        error_messages={"required": "Enter why this entry is voided."},
    )


class PasteForm(PlainForm):
    """What a phone could not send, as text."""

    text = forms.CharField(
        label="Text from the phone",
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false", "autocomplete": "off"}),
        help_text="All of it, unchanged. Only lines that start with { are read",
        strip=False,
        error_messages={"required": "Paste the text that the phone gave."},
        max_length=600_000,
    )
