"""Words typed for species, how they are sampled, and how they are told apart."""

from typing import Any, cast

from django import forms

from samples.form_parts import LengthField, PlainForm, TypedNumber
from samples.models import LakeSpecies, Species, SpeciesGroup
from samples.models.species import OWN_VALUES
from samples.rules.season_days import CALENDAR_DAYS
from samples.units import Measured, to_text
from samples.waters.forms.parts import MonthDayField, UnitForm
from samples.waters.rules import bin_width_problem, calendar_problem, read_month_day, width_text

OLDEST_FISH_YEARS = 150
MOST_SPINES = 40
AGE_PROBLEMS = {
    "min_value": "Enter 1 year or more.",
    "max_value": f"Enter {OLDEST_FISH_YEARS} years or fewer.",
}
SPINES_PROBLEMS = {
    "min_value": "Enter a number of spines, or leave it empty.",
    "max_value": f"Enter {MOST_SPINES} spines or fewer.",
}
USUAL_LENGTHS = ("plausible_min_hundredths_mm", "plausible_max_hundredths_mm")
# What the shared list of species cannot do without.
USUAL_NEEDED = {
    "plausible_min_hundredths_mm": "Enter a length.",
    "plausible_max_hundredths_mm": "Enter a length.",
    "plausible_max_age_years": "Enter an age in years.",
}


def _own_or_shared(own: int | None, species: Species, name: str) -> int | None:
    shared: int | None = getattr(species, name)
    return shared if own is None else own


class UsualValuesForm(UnitForm):
    """What is usual in a species: lengths and ages to ask about, spines, looks."""

    plausible_min_hundredths_mm = LengthField(label="Confirm lengths below", required=False)
    plausible_max_hundredths_mm = LengthField(label="Confirm lengths above", required=False)
    plausible_max_age_years = TypedNumber(
        label="Confirm ages above, years",
        required=False,
        min_value=1,
        max_value=OLDEST_FISH_YEARS,
        error_messages=AGE_PROBLEMS,
    )
    spines_min = TypedNumber(
        label="Fewest spines on the top fin",
        required=False,
        min_value=0,
        max_value=MOST_SPINES,
        error_messages=SPINES_PROBLEMS,
    )
    spines_max = TypedNumber(
        label="Most spines on the top fin",
        required=False,
        min_value=0,
        max_value=MOST_SPINES,
        error_messages=SPINES_PROBLEMS,
    )
    marks = forms.CharField(label="Identification, in a few words", max_length=120, required=False)


class SamplingForm(UnitForm):
    """How a species is sampled at a lake: its bins and its calendar."""

    lengths: tuple[str, ...] = ("age_0_below_hundredths_mm",)

    bin_width_hundredths_mm = LengthField(
        label="Length bin width",
        help_text="Such as 1 or 0.5 in, 25 or 20 mm",
    )
    annulus_starts = MonthDayField(
        label="Annulus formation starts", help_text="Edge analysis shows when, such as April 1"
    )
    annulus_ends = MonthDayField(label="Annulus formation ends")
    hatch = MonthDayField(label="Hatch date")
    growth_starts = MonthDayField(label="Growth starts")
    growth_ends = MonthDayField(label="Growth ends")
    age_0_below_hundredths_mm = LengthField(
        label="Age 0 below",
        required=False,
        help_text="A fish with no annuli caught after the hatch date is age 0 below this length",
    )
    early_annulus_counts_for_next_year = forms.BooleanField(
        label="An annulus at the edge on or after October 1 is next year's",
        required=False,
        help_text="Leave off unless edge analysis of this lake shows it",
    )
    targets_by_sex = forms.BooleanField(
        label="Set targets by sex",
        required=False,
        help_text="Where females and males grow differently",
    )

    def __init__(self, *args: Any, unit: str, row: LakeSpecies, **kwargs: Any) -> None:
        columns = {field.attname for field in LakeSpecies._meta.concrete_fields}
        stored = {name: getattr(row, name) for name in columns & type(self).base_fields.keys()}
        super().__init__(*args, unit=unit, stored=stored, **kwargs)
        width = cast(LengthField, self.fields["bin_width_hundredths_mm"])
        width.unit = self.unit
        width.unit_words = self.unit.value  # type: ignore[attr-defined]
        width.error_messages["required"] = "Enter a bin width, such as 1."
        shown = width_text(row.bin_width_hundredths_mm, self.unit)
        self.initial["bin_width_hundredths_mm"] = shown.split()[0]
        self.row = row

    def clean_bin_width_hundredths_mm(self) -> int:
        width: Measured = self.cleaned_data["bin_width_hundredths_mm"]
        problem = bin_width_problem(width.hundredths_mm, self.unit)
        if problem:
            raise forms.ValidationError(problem, code="bin_width")
        return width.hundredths_mm

    def clean(self) -> None:
        self.convert_lengths()
        days = {
            name: read_month_day(self.cleaned_data[name])
            for name in CALENDAR_DAYS
            if name in self.cleaned_data
        }
        problem = calendar_problem(days)
        if problem:
            self.add_problem(*problem, code="out_of_order")


class LakeSpeciesForm(UsualValuesForm, SamplingForm):
    """How a species is sampled at this lake, and what is usual in it here."""

    lengths = (*SamplingForm.lengths, *USUAL_LENGTHS)

    def __init__(self, *args: Any, row: LakeSpecies, **kwargs: Any) -> None:
        super().__init__(*args, row=row, **kwargs)
        if row.species_id:
            self._say_what_is_shared(row.species)

    def _say_what_is_shared(self, species: Species) -> None:
        """Add to each of the lake's own values the hint of what holds while it is empty."""
        for name in OWN_VALUES:
            value = getattr(species, name)
            if name.endswith("_mm"):
                value = f"{to_text(value, self.unit)} {self.unit.value}"
            message = "nothing" if value in (None, "") else value
            self.fields[name].help_text = f"Leave empty to use the shared list: {message}"

    def clean_marks(self) -> str | None:
        return self.cleaned_data["marks"] or None

    def _check_own_values(self) -> None:
        """See that the lake's values and the shared ones around them are in order."""
        cleaned_data, species = self.cleaned_data, self.row.species
        for least, most, sentence in (
            (*USUAL_LENGTHS, "Enter a length above the shortest."),
            ("spines_min", "spines_max", "Enter the fewest spines or more."),
        ):
            if least not in cleaned_data or most not in cleaned_data:
                continue
            low, high = (
                _own_or_shared(cleaned_data[name], species, name) for name in (least, most)
            )
            if low is None or high is None:
                continue
            if high < low or (high == low and least in self.lengths):
                name = most if cleaned_data[most] is not None else least
                self.add_problem(name, sentence, code="out_of_order")

    def clean(self) -> None:
        super().clean()
        if self.row.species_id:
            self._check_own_values()


class AddLakeSpecies(SamplingForm):
    """A species that the lake does not have yet, and how it is sampled there.

    The lake's own values are set once it is known which species it is.
    """

    field_order = ("species",)
    species = forms.ModelChoiceField(
        Species.objects.none(),
        label="Species",
        empty_label="Choose one",
        error_messages={
            "required": "Choose a species.",
            "invalid_choice": "The lake already has this species. Choose another.",
        },
    )

    def __init__(self, *args: Any, choices: list[Species], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = cast("forms.ModelChoiceField[Species]", self.fields["species"])
        field.queryset = Species.objects.filter(pk__in=[one.pk for one in choices]).order_by("name")


class SpeciesForm(UsualValuesForm):
    """What is true of a species at every lake."""

    lengths = USUAL_LENGTHS
    field_order = (
        *("name", "short_name", "scientific_name", "kind", "parent_a", "parent_b", "group"),
    )

    name = forms.CharField(
        label="Name",
        max_length=60,
        error_messages={"required": "Enter a name."},
    )
    short_name = forms.CharField(
        label="Short name",
        max_length=24,
        help_text="For the phone's buttons, such as White",
        error_messages={"required": "Enter a short name, such as White."},
    )
    scientific_name = forms.CharField(label="Scientific name", max_length=80, required=False)
    kind = forms.ChoiceField(
        label="Kind",
        choices=Species.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose species, hybrid or not sure."},
    )
    parent_a = forms.ModelChoiceField(
        Species.objects.none(),
        label="First parent",
        required=False,
        empty_label="None",
        help_text="For a hybrid",
    )
    parent_b = forms.ModelChoiceField(
        Species.objects.none(),
        label="Second parent",
        required=False,
        empty_label="None",
        help_text="For a hybrid",
    )
    group = forms.ModelChoiceField(
        SpeciesGroup.objects.order_by("name"),
        label="Group of look-alikes",
        required=False,
        empty_label="None",
    )

    def __init__(
        self, *args: Any, unit: str, species: Species, parents: list[Species], **kwargs: Any
    ) -> None:
        stored = {name: getattr(species, name) for name in type(self).base_fields}
        super().__init__(*args, unit=unit, stored=stored, **kwargs)
        possible = Species.objects.filter(pk__in=[one.pk for one in parents]).order_by("name")
        for name in ("parent_a", "parent_b"):
            cast("forms.ModelChoiceField[Species]", self.fields[name]).queryset = possible
        for name, sentence in USUAL_NEEDED.items():
            field = self.fields[name]
            field.required = field.widget.is_required = True
            field.error_messages["required"] = sentence
        self.fields[self.lengths[0]].help_text = "The phone asks to confirm; it never refuses"

    def clean(self) -> None:
        self.convert_lengths()
        cleaned_data = self.cleaned_data
        if cleaned_data.get("kind") == Species.Kind.HYBRID:
            for name in ("parent_a", "parent_b"):
                if name in cleaned_data and cleaned_data[name] is None:
                    sentence = "A hybrid has two parents. Choose both."
                    self.add_problem(name, sentence, code="parent_missing")
        shortest, longest = (cleaned_data.get(name) for name in self.lengths)
        if shortest and longest and longest <= shortest:
            sentence = "Enter a length above the shortest."
            self.add_problem(self.lengths[1], sentence, code="out_of_order")
        fewest, most = cleaned_data.get("spines_min"), cleaned_data.get("spines_max")
        if fewest is not None and most is not None and most < fewest:
            sentence = "Enter the fewest spines or more."
            self.add_problem("spines_max", sentence, code="out_of_order")


class GroupForm(PlainForm):
    """The lake's own helper that tells the species of a group apart."""

    helper_heading = forms.CharField(
        label="What to look at",
        max_length=120,
        required=False,
        help_text="Heading of the helper, such as Count the spines on the top fin",
    )
    helper_words = forms.CharField(
        label="How to do it", max_length=400, required=False, widget=forms.Textarea({"rows": 3})
    )
    helper_caution = forms.CharField(
        label="What it can't show",
        max_length=400,
        required=False,
        widget=forms.Textarea({"rows": 3}),
    )
