"""The form of a fish."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from samples.models import Fish, Lake, Species, SpeciesGroup
from samples.ramp.entry import (
    FOLDED,
    Correction,
    Entry,
    FishLogged,
    payload_of_fish,
)
from samples.ramp.forms.entry import EntryForm, FormQuestion, Typed
from samples.ramp.forms.fields import digits
from samples.ramp.geometry import Board, board
from samples.rules import vial_number
from samples.rules.plausible import Question, unreadable_length_questions
from samples.rules.weight import WeightUnreadable, parse_weight, weight_text
from samples.units import LengthUnit, LengthUnreadable, parse_length, to_text

VIAL_ANSWERS = {
    "wrong_check_digit": "Yes, as on the label",
    "vial_elsewhere": "Yes, as on the label",
    "vial_other_year": "Yes, as on the label",
}
# What was typed cannot be kept, only typed again.
CANNOT_STAND = {"point_misplaced", "unreadable_vial"}
ABOUT_A_NUMBER = {"wrong_check_digit", "unreadable_vial"}
MOST_OFFERED = 3


@dataclass(frozen=True, slots=True)
class Helper:
    """Help with species that are mistaken for one another: the words, and counts to choose from."""

    group: SpeciesGroup
    counts: range


def length_refused(text: str, lake: Lake) -> str:
    """Return what is wrong with a length that was typed, or nothing."""
    try:
        parse_length(text, LengthUnit(lake.length_unit))
    except LengthUnreadable as refused:
        return refused.sentence
    return ""


class WeightField(forms.CharField):
    """A weight as it is typed in a lake's unit; cleaned, its grams as text.

    ``filled_in``: the grams that the page started from. Rounded to the unit, their text says less
    than they do: left as it was, it is those grams.
    """

    def __init__(self, *, unit: str, filled_in: int | None = None, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.unit = unit
        self.filled_in = filled_in

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        if self.filled_in and text == weight_text(self.filled_in, self.unit):
            return str(self.filled_in)
        try:
            return str(parse_weight(text, self.unit)) if text else ""
        except WeightUnreadable as problem:
            raise ValidationError(problem.sentence, code=problem.code) from problem


WEIGHT_HINTS = {
    Lake.WeightUnit.GRAM: "in g, such as 310",
    Lake.WeightUnit.POUND_AND_OUNCE: "such as 0 lb 11 oz",
    Lake.WeightUnit.POUND: "in pounds, such as 0.68",
}


class FishForm(EntryForm):
    """One fish."""

    kind: type[Entry] = FishLogged
    chosen = frozenset({"species"})
    widgets = {
        "vial": digits(),
        "species": forms.RadioSelect,
        "length": forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off", "enterkeyhint": "next"}
        ),
        "sex": forms.RadioSelect,
        "note": forms.Textarea(attrs={"rows": 2}),
    }

    def __init__(
        self,
        data: Typed | None = None,
        *,
        lake: Lake,
        species: list[Species],
        may_go_without_vial: bool = False,
        weight_before: int | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.lake = lake
        self.species_list = species
        self.may_go_without_vial = may_go_without_vial
        self.set_choices("species", [(one.code, one.name) for one in species])
        self.fields["length"].error_messages["required"] = length_refused("", lake)
        self.fields["weight_g"] = WeightField(
            unit=lake.weight_unit,
            filled_in=weight_before,
            label="Weight",
            required=False,
            max_length=20,
            help_text=WEIGHT_HINTS[Lake.WeightUnit(lake.weight_unit)],
        )

    @property
    def helpers(self) -> list[Helper]:
        """List the help with groups of which the form offers more than one: others need none."""
        offered = Counter(one.group for one in self.species_list if one.group)
        groups = [group for group, kinds in offered.items() if kinds > 1 and group.helper_heading]
        return [Helper(group, self._counts(group)) for group in groups]

    def _counts(self, group: SpeciesGroup) -> range:
        """Return the counts of spines that its species have, and one to either side."""
        kinds = [one for one in self.species_list if one.group == group]
        ends = [end for one in kinds for end in (one.spines_min, one.spines_max) if end]
        return range(max(1, min(ends) - 1), max(ends) + 2) if ends else range(0)

    @property
    def more_fields(self) -> list[forms.BoundField]:
        """Return the facts that are seldom written down, folded together below the others."""
        return [self[one.word] for one in FOLDED]

    @property
    def more_is_open(self) -> bool:
        return any(field.value() or field.errors for field in self.more_fields)

    def typed(self) -> dict[str, Any]:
        """Return what was typed, with the weight in grams as entries have it."""
        return super().typed() | {"weight_g": self.cleaned_data["weight_g"]}

    def read_fish(self, *, now: datetime, **more: Any) -> Entry | None:
        """Read the fish, in the lake's unit where the length says none of its own."""
        entry = self.read_entry(now=now, unit=self.lake.length_unit, **more)
        if entry is None and self["length"].errors:
            self.questions = [
                self._form_question(one) for one in self._unreadable_length_questions()
            ]
        return entry

    def _unreadable_length_questions(self) -> tuple[Question, ...]:
        kind = self._species()
        if kind is None:
            return ()
        usual = (kind.plausible_min_hundredths_mm, kind.plausible_max_hundredths_mm)
        typed = str(self["length"].value() or "")
        return unreadable_length_questions(typed, self.lake.length_unit, usual)

    def ask(self, questions: list[Question], *, near: Sequence[str] = ()) -> None:
        """Put questions on the page, beside their fields; ``near``: vials that may be meant."""
        self.questions = [self._form_question(one, near) for one in questions]

    def offer_vials(self, sentence: str, near: Sequence[str]) -> None:
        """Offer vials for a number that cannot stand as it was typed."""
        self.questions = [self._form_question(Question("unreadable_vial", "vial", sentence), near)]

    def _form_question(self, question: Question, near: Sequence[str] = ()) -> FormQuestion:
        offered = near[:MOST_OFFERED] if question.code in ABOUT_A_NUMBER else ()
        vials = tuple(vial_number.grouped(number) for number in offered)
        return FormQuestion(question, self._yes(question), self._board(question), vials)

    def _yes(self, question: Question) -> str:
        if question.code in CANNOT_STAND:
            return ""
        if question.field == "length":
            return f"No, it is {self['length'].value()}"
        if question.field == "vial":
            return VIAL_ANSWERS.get(question.code, "Send it to the office")
        return "It is right"

    def _species(self) -> Species | None:
        return next((one for one in self.species_list if one.code == self["species"].value()), None)

    def _board(self, question: Question) -> Board | None:
        kind = self._species()
        if question.field != "length" or kind is None:
            return None
        unit = LengthUnit(self.lake.length_unit)
        usual = (
            float(to_text(kind.plausible_min_hundredths_mm, unit)),
            float(to_text(kind.plausible_max_hundredths_mm, unit)),
        )
        texts = [question.suggestion or "", self["length"].value()]
        lengths = []
        for text in texts:
            try:
                at = parse_length(text, unit).hundredths_mm
            except LengthUnreadable:
                continue
            lengths.append((float(to_text(at, unit)), text))
        return board(usual, lengths, unit.value, kind.name)


class CorrectionForm(FishForm):
    """One fish, written down anew."""

    kind = Correction
    left_out = frozenset({"about_entry_id"})


def initial_of_fish(fish: Fish) -> dict[str, Any]:
    """Return a fish as the initial values of a form, to be corrected."""
    length = fish.length_as_measured
    if fish.length_unit_as_measured != fish.lake.length_unit:
        length = f"{length} {fish.length_unit_as_measured}"
    return payload_of_fish(fish) | {
        "vial": vial_number.grouped(fish.vial.number) if fish.vial else fish.vial_number_said,
        "length": length,
        "weight_g": weight_text(fish.weight_g, fish.lake.weight_unit) if fish.weight_g else "",
        "confirmed": ",".join(fish.slip_answers),
    }
