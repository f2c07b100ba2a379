"""The form of a trip."""

from datetime import date
from typing import Any

from django import forms

from samples.models import Arm, Lake, Party
from samples.ramp.entry import Entry, PartyChanged, PartyOpened, payload_of_party
from samples.ramp.forms.entry import EntryForm, FormQuestion, Typed
from samples.rules.plausible import Question
from samples.rules.season_days import day_text

NOT_SAID = [("", "Not recorded")]
FOR_OTHERS_ALONE = ("donor_name", "interview_key", "net_nights", "net_mesh_mm")


class PartyForm(EntryForm):
    """How the fish of a trip came to be sampled."""

    kind: type[Entry] = PartyOpened
    required = frozenset({"lake", "kept"})
    chosen = frozenset({"lake", "arm", "reach"})
    widgets = {"kept": forms.RadioSelect}

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
        self.set_choices("arm", _arm_choices(lakes, arms))
        reaches = [(arm.name, [(r.name, r.name) for r in arm.reaches.all()]) for arm in arms]
        self.set_choices("reach", NOT_SAID + reaches)
        if "lake" in self.fields:
            self.set_choices("lake", [(lake.slug, lake.name) for lake in lakes])
        if "lake" in self.fields and len(lakes) == 1:
            self.fields["lake"].widget = forms.HiddenInput()
            self.fields["lake"].required = False
        if not for_others:
            for name in FOR_OTHERS_ALONE:
                self.fields.pop(name, None)

    def ask(self, questions: list[Question]) -> None:
        day = self.cleaned_data.get("caught_on")
        yes = f"{day_text(day)} is right" if day else "It is right"
        self.questions = [FormQuestion(one, yes, offer=_day_meant(one)) for one in questions]


def _day_meant(question: Question) -> str:
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
    """The same, written down anew."""

    kind = PartyChanged
    required = frozenset({"kept"})
    left_out = frozenset({"reopen"})
    widgets = {"kept": forms.RadioSelect, "arm_change": forms.HiddenInput}


def initial_of_party(party: Party) -> dict[str, Any]:
    """Return a trip as the initial values of a form, to be changed or used again."""
    return payload_of_party(party)
