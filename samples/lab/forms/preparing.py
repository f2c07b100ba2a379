"""Words typed where otoliths are prepared."""

from typing import Any

from django import forms

from samples.form_parts import PlainDate, PlainForm, TypedNumber, VialNumberField
from samples.models import Preparation, PreparationStep


class PreparationForm(PlainForm):
    """An otolith as it was prepared, and where its slide lies."""

    kind = forms.ChoiceField(
        label="Kind",
        choices=Preparation.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose a kind, such as Section."},
    )
    side = forms.ChoiceField(label="Side", choices=Preparation.Side.choices, required=False)
    condition = forms.ChoiceField(label="Condition", choices=Preparation.Condition.choices)
    slide = forms.CharField(
        label="Slide number",
        max_length=20,
        required=False,
        help_text="As on the slide, such as S-0412",
    )
    slide_box = forms.CharField(
        label="Slide box", max_length=20, required=False, help_text="Such as S-1"
    )
    box_place = TypedNumber(
        label="Place in the box",
        required=False,
        help_text="Such as 12",
        min_value=1,
        max_value=999,
        unreadable="Enter the place as a number, such as 12.",
        error_messages={
            "min_value": "Enter a place of 1 or more.",
            "max_value": "Enter a place of 999 or less.",
        },
    )
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(
        self, *args: Any, next_place: tuple[str, int], has_kind: bool = True, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        slide_box, place = next_place
        if slide_box:
            self.fields["slide_box"].help_text = f"Last used: {slide_box}"
            self.fields["box_place"].help_text = f"Next free: {place}"
        if not has_kind:
            del self.fields["kind"]

    def facts(self) -> dict[str, Any]:
        """Return what the services want to know beside the kind."""
        return {name: value for name, value in self.cleaned_data.items() if name != "kind"}


class StepForm(PlainForm):
    """A step of a preparation, on the day on which it was done."""

    kind = forms.ChoiceField(choices=PreparationStep.Kind.choices)
    done_on = PlainDate(label="Done on")


class SpoiledForm(PlainForm):
    """Why nothing can be read from a preparation any more."""

    why = forms.CharField(
        label="What happened",
        max_length=200,
        help_text="Such as: ground through, lost, shattered",
        error_messages={"required": "Enter what happened, such as: ground through."},
    )


class FindVialForm(PlainForm):
    """The vial to prepare."""

    vial = VialNumberField(help_text="Scan or type the number, such as 26 0147 3")
