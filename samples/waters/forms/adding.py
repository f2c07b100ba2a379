"""Words typed for a new lake, and for what it takes over from another or from the species list."""

from collections.abc import Sequence
from typing import Any, cast

from django import forms
from django.forms import BoundField

from samples.form_parts import PlainForm
from samples.models import Lake, User
from samples.waters.forms.lake import EditLake
from samples.waters.rules import USUAL_PARTS, CopiedPart

PARTS = [
    (CopiedPart.SPECIES, "Species, with length bins, aging calendar and usual ranges"),
    (CopiedPart.TARGETS, "Lake targets of the current season, for bins of the same width"),
    (CopiedPart.REGULATIONS, "Regulations in force today"),
    (CopiedPart.PRINTERS, "Printer corrections for label sheets"),
]
WHICH_PARTS = "Check at least one, such as Species."


class PartsField(forms.MultipleChoiceField):
    """Which parts of another lake's settings are copied."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self) -> None:
        super().__init__(
            label="What to copy", required=False, choices=PARTS, initial=sorted(USUAL_PARTS)
        )


class ListedSpeciesField(forms.MultipleChoiceField):
    """Species of the list that all lakes share."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(label="Species", **kwargs)
        self.error_messages["invalid_choice"] = (
            "One of these species is not on the list. Check the species again."
        )


def _choose_lake(field: forms.Field, lakes: Sequence[Lake]) -> None:
    chosen = Lake.objects.filter(pk__in=[lake.pk for lake in lakes]).order_by("name")
    cast("forms.ModelChoiceField[Lake]", field).queryset = chosen


class CopySettings(PlainForm):
    """From which lake, and what."""

    copy_from = forms.ModelChoiceField(
        Lake.objects.none(),
        label="Copy from",
        empty_label="Choose a lake",
        error_messages={
            "required": "Choose a lake from the list.",
            "invalid_choice": "You can't copy from this lake. Choose one from the list.",
        },
    )
    parts = PartsField()

    def __init__(self, *args: Any, lakes: Sequence[Lake], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _choose_lake(self.fields["copy_from"], lakes)

    def clean(self) -> None:
        if self.cleaned_data.get("parts") == []:
            self.add_problem("parts", WHICH_PARTS, code="no_part")


class AddListedSpecies(PlainForm):
    """Several species at once, with the usual bins and calendar."""

    species = ListedSpeciesField(
        error_messages={"required": "No species is checked. Check at least one."}
    )

    def __init__(self, *args: Any, listed: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast(ListedSpeciesField, self.fields["species"]).choices = listed


class AddLake(EditLake):
    """A new lake, who runs it, and what it starts from."""

    biologist = forms.ModelChoiceField(
        User.objects.none(),
        label="Biologist",
        empty_label="Choose a person",
        help_text="Runs the lake. If the person is new, choose yourself and add them under People",
        error_messages={
            "required": "Choose a biologist.",
            "invalid_choice": "This person can no longer sign in. Choose another.",
        },
    )
    copy_from = forms.ModelChoiceField(
        Lake.objects.none(),
        label="Copy from a lake",
        required=False,
        empty_label="None",
        error_messages={"invalid_choice": "Choose a lake from the list."},
    )
    parts = PartsField()
    species = ListedSpeciesField(required=False)
    # Switched on later, once the lab has pictures.
    suggest_annuli = None  # type: ignore[assignment]

    def __init__(
        self,
        *args: Any,
        lakes: Sequence[Lake],
        staff: Sequence[User],
        listed: list[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        _choose_lake(self.fields["copy_from"], lakes)
        people = User.objects.filter(pk__in=[one.pk for one in staff])
        cast("forms.ModelChoiceField[User]", self.fields["biologist"]).queryset = people.order_by(
            "display_name"
        )
        cast(ListedSpeciesField, self.fields["species"]).choices = listed

    @property
    def of_the_lake(self) -> list[BoundField]:
        return [self[name] for name in self.fields if name not in ("copy_from", "parts", "species")]

    def clean(self) -> None:
        if self.cleaned_data.get("copy_from") and self.cleaned_data.get("parts") == []:
            self.add_problem("parts", WHICH_PARTS, code="no_part")
