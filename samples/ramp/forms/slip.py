"""The code of a slip, typed by whoever gave the fish."""

from django import forms
from django.core.exceptions import ValidationError

from samples.form_parts import PlainForm
from samples.ramp.forms.fields import digits
from samples.rules.vial_number import read_vial


class SlipForm(PlainForm):
    """The vial number and the word. Whether they belong together is not said apart."""

    number = forms.CharField(
        label="Vial number",
        max_length=20,
        widget=digits(),
        help_text="as on your slip, such as 26 0147 3",
        error_messages={"required": "Enter the vial number on your slip, such as 26 0147 3."},
    )
    word = forms.CharField(
        label="Words",
        max_length=40,
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}
        ),
        help_text="both words on your slip, such as cedar-heron",
        error_messages={"required": "Enter both words on your slip, such as cedar-heron."},
    )

    def clean_number(self) -> str:
        """Return the number in digits. What cannot be one is told apart: nobody learns by it."""
        number = read_vial(self.cleaned_data["number"]).number
        if number is None:
            raise ValidationError(
                "This is no vial number. Enter every digit on your slip, such as 26 0147 3.",
                code="not_a_vial_number",
            )
        return number
