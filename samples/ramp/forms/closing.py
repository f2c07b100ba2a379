"""What belongs to the end of a party, typed."""

from typing import Any

from django import forms

from samples.form_parts import TypedNumber
from samples.models import Fish, Kind, Species
from samples.ramp.forms.said import Asked, SaidForm, Typed, select_one
from samples.rules import vial_number
from samples.rules.plausible import Question

CLOSING_ANSWERS = {"vials_skipped": "Yes, empty"}


class CloseForm(SaidForm):
    """What is in hand at the end of a party."""

    kind = Kind.PARTY_CLOSED
    count_in_hand = TypedNumber(
        label="Filled vials",
        needed="Count the vials with otoliths in your hand, such as 13.",
    )
    last_number = forms.CharField(
        label="Last vial",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="Number on the vial filled last; its last digits are enough",
    )

    def ask(self, questions: list[Question]) -> None:
        self.asked = [
            Asked(one, CLOSING_ANSWERS.get(one.code, "End trip anyway")) for one in questions
        ]


class ShiftForm(SaidForm):
    """From which vial on the numbers are off by one."""

    kind = Kind.SHIFT
    from_vial = select_one("First fish in the wrong vial", [])
    by = forms.ChoiceField(
        label="Move each fish to",
        choices=[("1", "The next vial"), ("-1", "The vial before")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the next vial or the vial before."},
    )

    def __init__(self, data: Typed | None = None, *, fish: list[Fish], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        field = self.fields["from_vial"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [
                (one.vial.number, f"{vial_number.grouped(one.vial.number)}, {_in_words(one)}")
                for one in fish
                if one.vial is not None
            ]


def _in_words(fish: Fish) -> str:
    length = f"{fish.length_as_measured} {fish.length_unit_as_measured}"
    return f"{fish.species.short_name} {length} {fish.get_sex_display().lower()}"


class CountForm(SaidForm):
    """Fish counted and not measured."""

    kind = Kind.UNMEASURED_COUNT
    species = select_one("Species", [])
    count = TypedNumber(label="How many", needed="Enter how many you counted, such as 12.")

    def __init__(self, data: Typed | None = None, *, species: list[Species], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        field = self.fields["species"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [(one.code, one.name) for one in species]
