"""Forms of what belongs to the end of a trip."""

from typing import Any

from django import forms

from samples.models import Fish, Species
from samples.ramp.entry import PartyClosed, Shift, UnmeasuredCounted
from samples.ramp.forms.entry import EntryForm, FormQuestion, Typed
from samples.ramp.forms.fields import digits
from samples.rules import vial_number
from samples.rules.plausible import Question

CLOSING_ANSWERS = {"vials_skipped": "Yes, empty"}


class CloseForm(EntryForm):
    """What is in hand at the end of a trip."""

    kind = PartyClosed
    required = frozenset({"count_in_hand"})
    widgets = {"last_number": digits()}

    def ask(self, questions: list[Question]) -> None:
        self.questions = [
            FormQuestion(one, CLOSING_ANSWERS.get(one.code, "End trip anyway")) for one in questions
        ]


class ShiftForm(EntryForm):
    """From which vial on the numbers are off by one."""

    kind = Shift
    chosen = frozenset({"from_vial"})
    widgets = {"by": forms.RadioSelect}

    def __init__(self, data: Typed | None = None, *, fish: list[Fish], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        in_vials = [(one.vial.number, one) for one in fish if one.vial is not None]
        choices = [(n, f"{vial_number.grouped(n)}, {_summary(one)}") for n, one in in_vials]
        self.set_choices("from_vial", choices)


def _summary(fish: Fish) -> str:
    length = f"{fish.length_as_measured} {fish.length_unit_as_measured}"
    return f"{fish.species.name} {length} {fish.sex_in_words}"


class CountForm(EntryForm):
    """Fish counted and not measured."""

    kind = UnmeasuredCounted
    required = frozenset({"species"})
    chosen = frozenset({"species"})

    def __init__(self, data: Typed | None = None, *, species: list[Species], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.set_choices("species", [(one.code, one.name) for one in species])
