"""Words typed on the page of quality control."""

from django import forms

from samples.form_parts import PlainForm, TypedNumber, VialNumberField
from samples.lab.forms import MOST_ANNULI
from samples.models import LEAST_SECOND_PERCENT, MOST_SECOND_PERCENT, ReferenceKind

_PERCENT = f"Enter a percent from {LEAST_SECOND_PERCENT} to {MOST_SECOND_PERCENT}, such as 15."
_AGE = "Enter the age in whole years, such as 4."


class SecondPercentForm(PlainForm):
    """How many otoliths in a hundred are read a second time."""

    percent = TypedNumber(
        label="Second readings, percent",
        min_value=LEAST_SECOND_PERCENT,
        max_value=MOST_SECOND_PERCENT,
        needed=_PERCENT,
        unreadable=_PERCENT,
        error_messages={"min_value": _PERCENT, "max_value": _PERCENT},
    )


class AskForReadingForm(PlainForm):
    """A vial that somebody else should read because it is hard."""

    vial = VialNumberField()
    note = forms.CharField(label="Why", max_length=300, required=False)


class ReferenceForm(PlainForm):
    """A vial for the reference set, with its age and where that comes from."""

    vial = VialNumberField()
    age_years = TypedNumber(
        label="Age",
        min_value=0,
        max_value=MOST_ANNULI,
        needed=_AGE,
        unreadable=_AGE,
        error_messages={"min_value": _AGE, "max_value": _AGE},
    )
    kind = forms.ChoiceField(label="Kind of age", choices=ReferenceKind.choices)
    source = forms.CharField(
        label="Source of the age",
        max_length=200,
        help_text="Such as stocked and marked in 2021, or concert read of three readers",
        error_messages={
            "required": "Enter where the age comes from, such as stocked and marked in 2021."
        },
    )
