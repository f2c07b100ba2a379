"""Words typed where vials go out, come in and are looked for."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from samples.form_parts import PlainForm, TypedNumber, VialNumberField, refuse_foreign_link
from samples.models import Lake, User, Vial
from samples.rules import vial_number
from samples.vials import queries, services


class IssueVials(PlainForm):
    """A range of vials for somebody: its first number, and how many or the last."""

    to = forms.ModelChoiceField(
        label="To",
        queryset=User.objects.none(),
        empty_label="Choose a person",
        error_messages={
            "required": "Choose a person.",
            "invalid_choice": "Choose a person from the list.",
        },
    )
    first = VialNumberField(label="First number")
    count = TypedNumber(
        label="How many",
        required=False,
        unreadable="Enter a whole number of vials, such as 30.",
    )
    last = VialNumberField(label="Or last number", required=False)

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to"].queryset = queries.people_who_log(lake)  # type: ignore[attr-defined]
        self.fields["count"].unit_words = "vials"  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned_data: dict[str, Any] = super().clean() or self.cleaned_data
        if {"first", "count", "last"} & set(self.errors):
            return cleaned_data
        counted = self._last_from_count(cleaned_data)
        last = cleaned_data["last"]
        if last and counted and last != counted:
            self.add_problem(
                "last",
                f"{cleaned_data['count']} vials end at {vial_number.grouped(counted)}. "
                "Give how many or the last number, not both.",
                code="both",
            )
        elif counted:
            cleaned_data["last"] = counted
        return cleaned_data

    def _last_from_count(self, cleaned_data: dict[str, Any]) -> str:
        count = cleaned_data["count"]
        if count is None:
            if not cleaned_data["last"]:
                sentence = "Enter how many vials or the last number."
                self.add_problem("count", sentence, code="required")
            return ""
        if not 1 <= count <= services.MOST_AT_ONCE:
            sentence = f"Enter 1 to {services.MOST_AT_ONCE:,} vials."
            self.add_problem("count", sentence, code="too_many")
            return ""
        try:
            return vial_number.step(cleaned_data["first"], count - 1)
        except vial_number.VialNumberRefused as problem:
            sentence = f"These are too many. {problem.sentence}"
            self.add_problem("count", sentence, code=problem.code)
            return ""


# What most vials hold may stay for the next one; what is out of the ordinary may not.
USUAL_CONTENT = frozenset({Vial.Content.ONE, Vial.Content.TWO})


class ReceiveVial(PlainForm):
    """One vial that came in: its number, the link of its label, or its last digits."""

    number = forms.CharField(
        label="Vial number",
        help_text="The last 4 digits are enough",
        max_length=200,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Enter the number on the vial's label."},
    )
    content = forms.ChoiceField(
        label="Inside",
        choices=Vial.Content.choices,
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose what is inside."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A scanner types into whatever has the focus.
        self.fields["number"].widget.attrs |= {"autofocus": True, "enterkeyhint": "done"}
        stays = " ".join(sorted(USUAL_CONTENT))
        self.fields["content"].widget.attrs |= {"form": "scan", "data-stays": stays}

    def clean_number(self) -> str:
        typed: str = self.cleaned_data["number"]
        refuse_foreign_link(typed)
        return typed


class ChangeContent(PlainForm):
    """Another content for a vial that was received before, and what had been noted."""

    number = VialNumberField(label="Vial number")
    content = forms.ChoiceField(choices=Vial.Content.choices, required=False)
    was = forms.ChoiceField(choices=Vial.Content.choices, required=False)


class FindVial(PlainForm):
    """A vial number, or its last digits."""

    number = forms.CharField(
        label="Vial number",
        help_text="The whole number or its last digits",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Enter the number on the vial's label."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["number"].is_vial = True  # type: ignore[attr-defined]

    def clean_number(self) -> str:
        typed: str = self.cleaned_data["number"]
        refuse_foreign_link(typed)
        try:
            return vial_number.parse(typed).number
        except vial_number.VialNumberRefused as problem:
            if problem.code == "too_short":
                return "".join(filter(str.isdecimal, typed))
            raise ValidationError(problem.sentence, code=problem.code) from problem


class MarkVial(PlainForm):
    """Set one vial aside, or bring it back."""

    what = forms.ChoiceField(
        label="Status",
        choices=[("lost", "Lost"), ("void", "Void"), ("back", "Return to use")],
        error_messages={
            "required": "Choose lost or void.",
            "invalid_choice": "Choose lost or void.",
        },
    )
    note = forms.CharField(
        label="Reason",
        max_length=300,
        required=False,
        error_messages={
            "max_length": "Use 300 characters or fewer.",
            "required": "Enter why, such as label torn or cap broken.",
        },
    )

    def __init__(self, *args: Any, what: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].required = what in {"lost", "void"}
        if what == "lost":
            sentence = "Enter why, such as fell overboard."
            self.fields["note"].error_messages["required"] = sentence
