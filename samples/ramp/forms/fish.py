"""One fish, typed."""

from datetime import datetime
from typing import Any

from django import forms

from samples.form_parts import TypedNumber
from samples.models import Fish, Kind, Lake, Sex, Species, ToldBy
from samples.ramp.entry import Entry
from samples.ramp.forms.said import Asked, SaidForm, Typed, select_one
from samples.ramp.geometry import Board, board
from samples.rules import vial_number
from samples.rules.plausible import Question
from samples.units import LengthUnit, LengthUnreadable, parse_length, to_text

VIAL_ANSWERS = {
    "wrong_check_digit": "The label really says so",
    "vial_elsewhere": "The label says so",
    "vial_other_year": "The label says so",
}


class FishForm(SaidForm):
    """One fish."""

    kind = Kind.FISH
    vial = forms.CharField(
        label="Vial",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    species = forms.ChoiceField(
        label="Species",
        widget=forms.RadioSelect,
        error_messages={"required": "Which species? Choose one."},
    )
    length = forms.CharField(
        label="Total length",
        widget=forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off", "enterkeyhint": "next"}
        ),
        error_messages={"required": "How long was it? Give the total length."},
    )
    sex = forms.ChoiceField(
        label="Sex",
        widget=forms.RadioSelect,
        choices=Sex.choices,
        error_messages={"required": "Which sex? Choose one; not known is an answer."},
    )
    spines = TypedNumber(label="Spines counted on the top fin", required=False)
    told_by = select_one("How the species was told", ToldBy.choices, required=False)
    weight_g = TypedNumber(label="Weight in g", required=False)

    def __init__(
        self,
        data: Typed | None = None,
        *,
        lake: Lake,
        species: list[Species],
        may_go_without_vial: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.lake = lake
        self.species_list = species
        self.may_go_without_vial = may_go_without_vial
        chosen = self.fields["species"]
        if isinstance(chosen, forms.ChoiceField):
            chosen.choices = [(one.code, one.name) for one in species]

    @property
    def more_is_open(self) -> bool:
        names = ("spines", "told_by", "weight_g")
        return any(self[name].value() or self[name].errors for name in names)

    def read_fish(self, *, now: datetime, **more: Any) -> Entry | None:
        """Read the fish, in the lake's unit where the length says none of its own."""
        return self.read_entry(now=now, unit=self.lake.length_unit, **more)

    def ask(self, questions: list[Question]) -> None:
        """Put questions on the page, beside their fields."""
        self.asked = [Asked(one, self._yes(one), self._board(one)) for one in questions]

    def _yes(self, question: Question) -> str:
        if question.field == "length":
            return f"No, it is {self['length'].value()}"
        if question.field == "vial":
            return VIAL_ANSWERS.get(question.code, "Send it to the office")
        return "It is right"

    def _board(self, question: Question) -> Board | None:
        kind = next((one for one in self.species_list if one.code == self["species"].value()), None)
        if question.field != "length" or kind is None:
            return None
        unit = LengthUnit(self.lake.length_unit)
        usual = (
            float(to_text(kind.plausible_min_hundredths_mm, unit)),
            float(to_text(kind.plausible_max_hundredths_mm, unit)),
        )
        texts = [question.suggestion or "", self["length"].value()]
        said = []
        for text in texts:
            try:
                at = parse_length(text, unit).hundredths_mm
            except LengthUnreadable:
                continue
            said.append((float(to_text(at, unit)), text))
        return board(usual, said, unit.value, kind.name)


class CorrectionForm(FishForm):
    kind = Kind.CORRECTION


def said_by_fish(fish: Fish) -> dict[str, Any]:
    """Give a fish back as the words of a form, to be corrected."""
    return {
        "vial": vial_number.grouped(fish.vial.number) if fish.vial else fish.vial_number_said,
        "species": fish.species.code,
        "length": fish.length_as_measured
        if fish.length_unit_as_measured == fish.lake.length_unit
        else f"{fish.length_as_measured} {fish.length_unit_as_measured}",
        "sex": fish.sex,
        "spines": fish.spines,
        "told_by": fish.told_by,
        "weight_g": fish.weight_g,
        "confirmed": ",".join(fish.slip_answers),
    }
