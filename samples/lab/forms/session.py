"""Words typed when a reading session is opened, and for each of its otoliths."""

from typing import Any

from django import forms

from samples.form_parts import PlainForm, TypedNumber
from samples.lab.forms.reading import (
    HOW_MANY,
    LIGHTS,
    METHODS,
    MOST_ANNULI,
    SIDES,
    margin_field,
    readability_field,
)
from samples.lab.services import OtolithFacts, SessionChoice
from samples.lab.services.sessions import MOST_IN_A_SESSION
from samples.models import LakeSpecies, SessionPurpose

USUAL_COUNT = 30
HIDDEN = [
    ("both", "Length and earlier readings"),
    ("length", "Length"),
    ("earlier", "Earlier readings"),
    ("neither", "Nothing"),
]
_COUNT = f"Enter how many otoliths, 1 to {MOST_IN_A_SESSION}, such as {USUAL_COUNT}."


class OpenSessionForm(PlainForm):
    """What a reader wants to read, and what is hidden from them meanwhile."""

    purpose = forms.ChoiceField(label="Read", choices=SessionPurpose.choices)
    count = TypedNumber(
        label="Otoliths",
        min_value=1,
        max_value=MOST_IN_A_SESSION,
        initial=USUAL_COUNT,
        needed=_COUNT,
        unreadable=_COUNT,
        error_messages={"min_value": _COUNT, "max_value": _COUNT},
    )
    hidden = forms.ChoiceField(
        label="Hide from me",
        choices=HIDDEN,
        help_text="Second readings and reference otoliths never show earlier readings",
    )
    species = forms.ChoiceField(label="Species")
    method = forms.ChoiceField(label="Method", choices=METHODS)
    side = forms.ChoiceField(label="Side", choices=SIDES, required=False)
    light = forms.ChoiceField(label="Light", choices=LIGHTS, required=False)
    axis = forms.CharField(label="Counting axis", max_length=20, required=False)
    request_id = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, species: list[LakeSpecies], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["species"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [
            ("all", "All"),
            *((str(row.species_id), row.species.name) for row in species),
        ]

    @property
    def choice(self) -> SessionChoice:
        data = self.cleaned_data
        return SessionChoice(
            purpose=SessionPurpose(data["purpose"]),
            method=data["method"],
            count=data["count"],
            length_is_hidden=data["hidden"] in {"both", "length"},
            earlier_are_hidden=data["hidden"] in {"both", "earlier"},
            species_id=None if data["species"] == "all" else int(data["species"]),
            side=data["side"],
            light=data["light"],
            axis=data["axis"],
        )


class OtolithForm(PlainForm):
    """One otolith of a session: a count, or why there is none."""

    annuli = TypedNumber(
        label="Annuli",
        min_value=0,
        max_value=MOST_ANNULI,
        required=False,
        unreadable=HOW_MANY,
        error_messages={"min_value": HOW_MANY, "max_value": HOW_MANY},
    )
    margin = margin_field()
    readability = readability_field()
    needs_section = forms.BooleanField(label="Needs a section", required=False)
    cannot_be_read = forms.BooleanField(label="Cannot be read", required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)
    side = forms.ChoiceField(label="Side", choices=SIDES, required=False)
    light = forms.ChoiceField(label="Light", choices=LIGHTS, required=False)
    axis = forms.CharField(label="Counting axis", max_length=20, required=False)
    # Counted by the page; without its script nobody knows.
    seconds = forms.CharField(required=False)

    def clean_seconds(self) -> int | None:
        text: str = self.cleaned_data["seconds"]
        return int(text) if text.isascii() and text.isdigit() and len(text) <= 6 else None

    def facts(self, confirmed: list[str]) -> OtolithFacts:
        return OtolithFacts(**self.cleaned_data, confirmed=confirmed)


class CountForm(PlainForm):
    """A count that is being typed, to say which age it comes to."""

    annuli = TypedNumber(label="Annuli", min_value=0, max_value=MOST_ANNULI)
    margin = margin_field()
