"""Words typed where otoliths are read: the rows of the grid, a reading, what the grid shows."""

import json
from collections.abc import Iterable, Mapping
from typing import Any, cast

from django import forms

from samples.form_parts import PlainForm, TypedNumber, VialNumberField
from samples.lab.queries import GridCriteria, VialSelection
from samples.lab.services import OtolithFacts, PlainFacts
from samples.models import (
    Arm,
    LakeSpecies,
    Margin,
    Preparation,
    Readability,
    ReadMethod,
    SessionOtolith,
)
from samples.rules.marks import DrawnRadius, read_radius

MOST_ANNULI = 59
METHODS = ReadMethod.choices
READABLE = [("", "Not recorded"), *((one.value, one.label[2:]) for one in Readability)]
MARGINS_SHORT = [("1", "at edge"), ("2", "under 1/3"), ("3", "1/3-2/3"), ("4", "over 2/3")]
SIDES = [("", "Not recorded"), ("left", "Left"), ("right", "Right")]
LIGHTS = [("", "Not recorded"), ("reflected", "Reflected"), ("transmitted", "Transmitted")]
# What a row of the grid keeps folded until somebody wants to say it.
MORE = ("side", "light", "axis", "preparation", "needs_section", "note")
NEEDS = [("", "No"), ("yes", "Yes")]
# As much as the history keeps of a reason.
LONGEST_CHECK_NOTE = 100
HOW_MANY = "Enter the number of annuli, 0 to 59."


def annuli_field() -> TypedNumber:
    return TypedNumber(
        label="Annuli",
        min_value=0,
        max_value=MOST_ANNULI,
        needed=HOW_MANY,
        unreadable=HOW_MANY,
        error_messages={"min_value": HOW_MANY, "max_value": HOW_MANY},
    )


def margin_field(**kwargs: Any) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label="Margin",
        choices=[("", "Not recorded"), *Margin.choices],
        coerce=int,
        empty_value=None,
        required=False,
        error_messages={"invalid_choice": "Enter the margin as 1, 2, 3 or 4."},
        **kwargs,
    )


def readability_field(**kwargs: Any) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label="Readability",
        choices=READABLE,
        coerce=int,
        empty_value=None,
        required=False,
        **kwargs,
    )


def needs_section_field() -> forms.ChoiceField:
    return forms.ChoiceField(label="Needs a section", choices=NEEDS, required=False)


class PreparationField(forms.TypedChoiceField):
    """Which preparation of the vial was read; its value is the preparation, or None."""

    def __init__(self) -> None:
        super().__init__(label="Preparation", required=False, empty_value=None, coerce=int)
        self.error_messages["invalid_choice"] = "Choose a preparation of this vial."
        self.offered: dict[str, Preparation] = {}
        self.offer([])

    def offer(self, preparations: Iterable[Preparation]) -> None:
        """Offer the preparations of one vial."""
        self.offered = {str(one.pk): one for one in preparations}
        named = [(pk, preparation_name(one)) for pk, one in self.offered.items()]
        self.choices = [("", "Not recorded"), *named]

    def clean(self, value: Any) -> Preparation | None:
        super().clean(value)
        return self.offered.get(str(value))


def preparation_name(one: Preparation) -> str:
    """Return what a preparation is called where one is chosen."""
    side = f", {one.get_side_display().lower()}" if one.side else ""
    slide = f", slide {one.slide}" if one.slide else ""
    return f"{one.number} {one.get_kind_display()}{side}{slide}"


class PreparedForm(PlainForm):
    """A form with a preparation of the vial, offered in the field "preparation"."""

    def __init__(self, *args: Any, preparations: Iterable[Preparation] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast(PreparationField, self.fields["preparation"]).offer(preparations)


class GridRowForm(PreparedForm):
    """One row of the grid, as it was typed."""

    vial = VialNumberField()
    annuli = annuli_field()
    margin = margin_field(widget=forms.TextInput)
    readability = readability_field()
    method = forms.ChoiceField(label="Method", choices=METHODS)
    length = forms.ChoiceField(choices=[("hidden", "Hidden"), ("shown", "Shown")], required=False)
    side = forms.ChoiceField(label="Side", choices=SIDES, required=False)
    light = forms.ChoiceField(label="Light", choices=LIGHTS, required=False)
    axis = forms.CharField(label="Counting axis", max_length=20, required=False)
    preparation = PreparationField()
    needs_section = needs_section_field()
    note = forms.CharField(label="Note", max_length=300, required=False)

    def facts(self) -> dict[str, Any]:
        """Return what `save_reading` wants to know; what the row does not send stays as it was."""
        names = ("annuli", "margin", "readability", "method")
        hidden = self.cleaned_data["length"] != "shown"
        more = {name: self.cleaned_data[name] for name in MORE if name in self.data}
        if "needs_section" in more:
            more["needs_section"] = more["needs_section"] == "yes"
        return {
            **{name: self.cleaned_data[name] for name in names},
            **more,
            "length_was_hidden": hidden,
        }


class ReadingForm(PreparedForm):
    """A reading with everything that can be said of it."""

    annuli = annuli_field()
    margin = margin_field(widget=forms.RadioSelect)
    edge = forms.ChoiceField(
        label="Annulus at the edge",
        choices=[("", "Not recorded"), ("yes", "Visible"), ("no", "Not visible")],
        required=False,
        help_text="Only if there is no margin code",
    )
    method = forms.ChoiceField(label="Method", choices=METHODS)
    readability = readability_field()
    side = forms.ChoiceField(label="Side", choices=SIDES, required=False)
    light = forms.ChoiceField(
        label="Light",
        choices=LIGHTS,
        required=False,
        help_text="Annuli look dark in transmitted light and white in reflected light",
    )
    axis = forms.CharField(label="Counting axis", max_length=20, required=False)
    preparation = PreparationField()
    needs_section = needs_section_field()
    note = forms.CharField(label="Note", max_length=300, required=False)

    def facts(self) -> dict[str, Any]:
        """Return what `save_reading` wants to know."""
        edge = {"yes": True, "no": False}.get(self.cleaned_data["edge"], "not_said")
        rest = {name: value for name, value in self.cleaned_data.items() if name != "edge"}
        # This page shows the length and every other reading.
        needs_section = rest.pop("needs_section") == "yes"
        return {
            **rest,
            "needs_section": needs_section,
            "annulus_at_edge": edge,
            "length_was_hidden": False,
        }


class CheckVialsForm(PlainForm):
    """Vials that were looked at, by their numbers, and what was found."""

    numbers = forms.CharField(widget=forms.HiddenInput, max_length=2000)
    note = forms.CharField(
        label="What you found",
        max_length=LONGEST_CHECK_NOTE,
        help_text="Such as slip agrees, slow grower",
        error_messages={"required": "Enter what you found, such as slip agrees, slow grower."},
    )

    def clean_numbers(self) -> list[str]:
        return str(self.cleaned_data["numbers"]).split()


class GridFilter(PlainForm):
    """What the reader asks the grid for. It stands in the address.

    What an address says that no page of ours wrote falls back on the first choice.
    """

    show = forms.ChoiceField(
        label="Vials",
        choices=[
            (VialSelection.UNREAD.value, "Not read by me"),
            (VialSelection.SECOND.value, "Second readings"),
            (VialSelection.THIRD.value, "Third reader asked for"),
            (VialSelection.ALL.value, "All, including aged and archived"),
        ],
    )
    species = forms.ChoiceField(label="Species")
    arm = forms.ChoiceField(label="Arm")
    method = forms.ChoiceField(label="Start with", choices=METHODS)
    length = forms.ChoiceField(
        label="Lengths",
        choices=[("hidden", "Hidden"), ("shown", "Shown")],
    )

    def __init__(self, data: Mapping[str, str], *, species: list[LakeSpecies], arms: list[Arm]):
        kinds = [(str(row.species_id), row.species.name) for row in species]
        places = [(str(arm.pk), arm.name) for arm in arms]
        choices = {
            name: [(str(value), label) for value, label in getattr(field, "choices", [])]
            for name, field in self.base_fields.items()
        }
        choices["species"] = [("all", "All"), *kinds]
        choices["arm"] = [("all", "All"), *places]
        super().__init__({name: _one_of(choices[name], data.get(name)) for name in choices})
        for name, offered in choices.items():
            cast(forms.ChoiceField, self.fields[name]).choices = offered
        self.full_clean()

    @property
    def criteria(self) -> GridCriteria:
        data = self.cleaned_data
        return GridCriteria(
            selection=VialSelection(data["show"]),
            species_id=None if data["species"] == "all" else int(data["species"]),
            arm_id=None if data["arm"] == "all" else int(data["arm"]),
        )

    @property
    def method_to_start_with(self) -> str:
        return str(self.cleaned_data["method"])

    @property
    def length_shown(self) -> bool:
        return bool(self.cleaned_data["length"] == "shown")


def _one_of(choices: list[tuple[str, str]], value: str | None) -> str:
    offered = [value for value, _ in choices]
    return value if value in offered else offered[0]


NO_RADIUS = "Draw a radius: mark the core, then the edge."


class MarksForm(PlainForm):
    """A reading made on a picture: its marks, and what else is said of the otolith."""

    marks = forms.CharField(
        label="Marks", widget=forms.HiddenInput, error_messages={"required": NO_RADIUS}
    )
    margin = margin_field(widget=forms.RadioSelect)
    readability = readability_field()
    method = forms.ChoiceField(label="Method", choices=METHODS)
    light = forms.ChoiceField(label="Light", choices=LIGHTS, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def clean_marks(self) -> list[DrawnRadius]:
        try:
            payload = json.loads(self.cleaned_data["marks"])
            return [read_radius(one) for one in payload]
        except (TypeError, ValueError, RecursionError) as problem:
            raise forms.ValidationError(
                "The marks can't be read. Reload the page and mark again.", code="unreadable"
            ) from problem

    def facts(self, *, side: str) -> PlainFacts:
        """Return what `save_marks` wants to know; this page never shows the length."""
        names = ("method", "margin", "readability", "light", "note")
        said = {name: self.cleaned_data[name] for name in names}
        return PlainFacts(**said, side=side or None, length_was_hidden=True)


class SessionMarksForm(MarksForm):
    """The same for an otolith of a session, whose method is the session's."""

    method = None  # type: ignore[assignment]

    def session_facts(self, otolith: SessionOtolith, *, side: str, axis: str) -> OtolithFacts:
        """Return what `mark_otolith` wants to know. That it needs a section stays as it was."""
        names = ("margin", "readability", "light", "note")
        said = {name: self.cleaned_data[name] for name in names}
        return OtolithFacts(
            **said, annuli=None, side=side, axis=axis, needs_section=otolith.needs_section
        )
