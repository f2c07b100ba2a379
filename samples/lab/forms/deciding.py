"""Words typed where ages are decided, and where it is set when one reader is enough."""

from typing import Any, cast

from django import forms

from samples.form_parts import LengthField, PlainForm, TypedNumber
from samples.lab.forms.reading import MOST_ANNULI
from samples.lab.rules import ConsensusRule
from samples.models import AgeDecision, Lake
from samples.units import LengthUnit, to_text


class DecideForm(PlainForm):
    """What the biologist decides about an age, how it was come to, and why."""

    OTHER_AGE = "other"
    AN_AGE = "age-"

    outcome = forms.ChoiceField(
        label="Decision",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose an age, or what is to be done."},
    )
    age_years = TypedNumber(
        label="Another age",
        required=False,
        help_text="Only with “Another age”",
        min_value=0,
        max_value=MOST_ANNULI,
        unreadable="Enter the age in whole years, such as 4.",
        error_messages={
            "min_value": "Enter an age of 0 or more.",
            "max_value": "Enter an age of 59 or less.",
        },
    )
    how = forms.ChoiceField(
        label="How the age was decided",
        choices=[("", "Choose"), *AgeDecision.How.choices[1:]],
        required=False,
    )
    note = forms.CharField(
        label="Reason",
        max_length=300,
        help_text="Such as: read together, the second mark is a check",
        error_messages={
            "required": "Enter why, such as: read together, the second mark is a check."
        },
    )

    def __init__(self, *args: Any, ages: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("age_years", "how"):
            # Wanted with some decisions, so not called optional.
            self.fields[name].fills_itself = True  # type: ignore[attr-defined]
        outcome = AgeDecision.Outcome
        cast(forms.ChoiceField, self.fields["outcome"]).choices = [
            *((f"{self.AN_AGE}{age}", f"Age {age}") for age in ages),
            (self.OTHER_AGE, "Another age"),
            (outcome.SECTION, "Ask for a section"),
            (outcome.THIRD_READER, "Ask for a third reader"),
            (outcome.NO_AGE, "No age"),
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        chosen = data.get("outcome", "")
        if chosen == self.OTHER_AGE and data.get("age_years") is None:
            if "age_years" not in self.errors:
                sentence = "Enter the age in whole years, such as 4."
                self.add_problem("age_years", sentence, code="required")
        elif chosen and chosen != self.OTHER_AGE:
            self._refuse_another_age(chosen)
        is_age = chosen == self.OTHER_AGE or chosen.startswith(self.AN_AGE)
        if is_age and not data.get("how"):
            sentence = "Choose how the age was decided, such as Concert read."
            self.add_problem("how", sentence, code="required")
        return data

    def _refuse_another_age(self, chosen: str) -> None:
        """Say that two ages, or an age and none, contradict; the same age twice does not."""
        self.errors.pop("age_years", None)
        typed = self["age_years"].value()
        if typed and f"{self.AN_AGE}{typed.strip()}" != chosen:
            label = dict(cast(Any, self.fields["outcome"]).choices)[chosen]
            sentence = f"\u201c{label}\u201d is chosen. Clear this age, or choose Another age."
            self.add_problem("age_years", sentence, code="another_chosen")

    def facts(self) -> dict[str, Any]:
        """Return what `decide` wants to know."""
        chosen, note = self.cleaned_data["outcome"], self.cleaned_data["note"]
        if chosen == self.OTHER_AGE:
            age = self.cleaned_data["age_years"]
        elif chosen.startswith(self.AN_AGE):
            age = int(chosen.removeprefix(self.AN_AGE))
        else:
            return {"outcome": chosen, "note": note}
        how = self.cleaned_data["how"]
        return {"outcome": AgeDecision.Outcome.AGE, "age_years": age, "how": how, "note": note}


class ConsensusRuleForm(PlainForm):
    """For which fish of a lake the age by one reader is enough."""

    one_reading = forms.ChoiceField(
        label="One reader\u2019s age is enough",
        choices=Lake.OneReading.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose when one reading is enough."},
    )
    below = LengthField(
        label="Fish shorter than",
        required=False,
        help_text="Leave empty for any length",
    )
    most_annuli = TypedNumber(
        label="Annuli, at most",
        required=False,
        min_value=0,
        max_value=MOST_ANNULI,
        unreadable="Enter a number of annuli, such as 3.",
        help_text="Leave empty for any count",
        error_messages={
            "min_value": "Enter 0 or more annuli.",
            "max_value": "Enter 59 annuli or fewer.",
        },
    )

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        unit = LengthUnit(lake.length_unit)
        below = lake.one_reading_below_hundredths_mm
        initial = {
            "one_reading": lake.one_reading_suffices,
            "below": to_text(below, unit) if below else "",
            "most_annuli": lake.one_reading_most_annuli,
        }
        super().__init__(*args, initial=initial, **kwargs)
        field = cast(LengthField, self.fields["below"])
        field.unit, field.unit_words = unit, unit.value  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        nothing = data.get("below") is None and data.get("most_annuli") is None
        clean = not {"below", "most_annuli"} & set(self.errors)
        if data.get("one_reading") == Lake.OneReading.BELOW and nothing and clean:
            sentence = "Enter a length, such as 8.0, or a number of annuli, such as 3."
            self.add_problem("below", sentence, code="required")
        return data

    @property
    def rule(self) -> ConsensusRule:
        """Return the rule as it was typed; limits count only where they are asked for."""
        one_reading = Lake.OneReading(self.cleaned_data["one_reading"])
        if one_reading != Lake.OneReading.BELOW:
            return ConsensusRule(one_reading)
        below = self.cleaned_data["below"]
        return ConsensusRule(
            one_reading,
            below.hundredths_mm if below else None,
            self.cleaned_data["most_annuli"],
        )
