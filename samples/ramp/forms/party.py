"""A party, typed."""

from datetime import date
from typing import Any

from django import forms

from samples.form_parts import PlainDate, TypedNumber
from samples.models import Arm, HowChosen, Kept, Kind, Lake, Method, Party
from samples.ramp.forms.said import Asked, SaidForm, Typed, select_one
from samples.rules.plausible import Question
from samples.rules.season_days import day_text

NOT_SAID = [("", "Not said")]


class PartyForm(SaidForm):
    """How the fish of a party came to be sampled."""

    kind = Kind.PARTY_OPENED
    lake = select_one("Lake", [])
    arm = select_one("Arm", [], error_messages={"required": "Choose an arm."})
    reach = select_one("Reach", [], required=False)
    caught_on = PlainDate(label="Date caught", needed="Enter the date the fish were caught.")
    method = select_one(
        "Method",
        Method.choices,
        error_messages={"required": "How were they caught? Choose a method."},
    )
    how_chosen = select_one("How the fish were chosen", HowChosen.choices)
    every_nth = TypedNumber(
        label="Every how many", required=False, help_text="2 for every second fish"
    )
    fish_in_box = TypedNumber(label="Fish in the box", required=False)
    kept = forms.ChoiceField(label="Kept", choices=Kept.choices, widget=forms.RadioSelect)
    donor_name = forms.CharField(
        label="Donor",
        required=False,
        max_length=80,
        help_text="Who gives the fish; seen by the biologist alone",
    )
    interview_key = forms.CharField(
        label="Interview key", required=False, max_length=40, help_text="Instead of a name"
    )
    net_nights = TypedNumber(label="Net nights", required=False)
    net_mesh_mm = TypedNumber(label="Net mesh in mm", required=False)

    def __init__(
        self,
        data: Typed | None = None,
        *,
        lakes: list[Lake],
        arms: list[Arm],
        for_others: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        choose: dict[str, list[Any]] = {
            "lake": [(lake.slug, lake.name) for lake in lakes],
            "arm": _arm_choices(lakes, arms),
            "reach": NOT_SAID
            + [(arm.name, [(r.name, r.name) for r in arm.reaches.all()]) for arm in arms],
        }
        for name, choices in choose.items():
            field = self.fields[name]
            if isinstance(field, forms.ChoiceField):
                field.choices = choices
        if len(lakes) == 1:
            self.fields["lake"].widget = forms.HiddenInput()
            self.fields["lake"].required = False
        if not for_others:
            for name in ("donor_name", "interview_key", "net_nights", "net_mesh_mm"):
                del self.fields[name]

    def ask(self, questions: list[Question]) -> None:
        day = self.cleaned_data.get("caught_on")
        yes = f"{day_text(day)} is right" if day else "It is right"
        self.asked = [Asked(one, yes, take=_meant(one)) for one in questions]


def _meant(question: Question) -> str:
    return day_text(date.fromisoformat(question.suggestion)) if question.suggestion else ""


def _arm_choices(lakes: list[Lake], arms: list[Arm]) -> list[Any]:
    if len(lakes) == 1:
        return [("", "Choose"), *((arm.name, arm.name) for arm in arms)]
    by_lake = [
        (lake.name, [(arm.name, arm.name) for arm in arms if arm.lake_id == lake.pk])
        for lake in lakes
    ]
    return [("", "Choose"), *by_lake]


class PartyChangeForm(PartyForm):
    kind = Kind.PARTY_CHANGED
    arm_change = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("lake", "donor_name", "interview_key"):
            self.fields.pop(name, None)


def said_by_party(party: Party) -> dict[str, Any]:
    """Give a party back as the words of a form, to be changed or used again."""
    return {
        "lake": party.lake.slug,
        "arm": party.arm.name,
        "reach": party.reach.name if party.reach else "",
        "caught_on": party.caught_on,
        "method": party.method,
        "how_chosen": party.how_chosen,
        "every_nth": party.every_nth,
        "fish_in_box": party.fish_in_box,
        "kept": party.kept,
        "net_nights": party.net_nights,
        "net_mesh_mm": party.net_mesh_mm,
    }
