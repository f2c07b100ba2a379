"""Words typed for seasons and regulations."""

from datetime import date
from typing import Any, cast

from django import forms

from samples.form_parts import LengthField, PlainDate, PlainForm, TypedNumber
from samples.models import Regulation, Season, Species
from samples.waters.forms.parts import UnitForm


class SeasonForm(PlainForm):
    """A season, its permit and what to remember."""

    name = forms.CharField(
        label="Name",
        max_length=40,
        help_text="Such as 2026 or Winter 2026-27",
        error_messages={"required": "Enter a name, such as 2026."},
    )
    starts_on = PlainDate(label="First day", needed="Enter the first day, such as March 1, 2026.")
    ends_on = PlainDate(label="Last day", needed="Enter the last day, such as June 30, 2026.")
    number_year = TypedNumber(
        label="Year of its vial numbers",
        min_value=2000,
        max_value=2099,
        needed="Enter a year, such as 2026.",
        help_text="For a winter season, one of its two years",
        error_messages={
            "min_value": "Enter a year from 2000 to 2099.",
            "max_value": "Enter a year from 2000 to 2099.",
        },
    )
    permit_number = forms.CharField(label="Collection permit", max_length=60, required=False)
    permit_holder = forms.CharField(label="Permit held by", max_length=80, required=False)
    permit_until = PlainDate(label="Permit valid through", required=False)
    possession_reminder = forms.CharField(
        label="Possession limit, as a reminder",
        max_length=300,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="Shown where vials and fish are handled",
    )
    carcass_note = forms.CharField(
        label="Where carcasses go",
        max_length=300,
        required=False,
        widget=forms.Textarea({"rows": 2}),
        help_text="Printed on kit cards",
    )

    def __init__(self, *args: Any, season: Season | None, first_day: date, **kwargs: Any) -> None:
        if season is None:
            initial: dict[str, Any] = {"number_year": first_day.year, "name": str(first_day.year)}
        else:
            initial = {name: getattr(season, name) for name in type(self).base_fields}
        super().__init__(*args, initial=initial, **kwargs)

    def clean(self) -> None:
        starts, ends = self.cleaned_data.get("starts_on"), self.cleaned_data.get("ends_on")
        year = self.cleaned_data.get("number_year")
        if starts and ends and year and starts < ends and not starts.year <= year <= ends.year:
            years = f"{starts.year}"
            if ends.year != starts.year:
                years = f"{starts.year} or {ends.year}"
            sentence = f"Enter {years}: the season is in that year."
            self.add_problem("number_year", sentence, code="other_year")


class RegulationForm(UnitForm):
    """A rule in force from a day on."""

    lengths = ("minimum_length_hundredths_mm",)

    in_force_from = PlainDate(
        label="In force from", needed="Enter the first day, such as April 1, 2026."
    )
    species = forms.ModelChoiceField(
        Species.objects.none(), label="For", required=False, empty_label="All species"
    )
    words = forms.CharField(
        label="Text of the regulation",
        max_length=300,
        widget=forms.Textarea({"rows": 3}),
        error_messages={"required": "Copy the text of the regulation."},
    )
    minimum_length_hundredths_mm = LengthField(label="Minimum length", required=False)
    daily_limit = TypedNumber(
        label="Daily limit, fish",
        required=False,
        min_value=0,
        max_value=1000,
        error_messages={
            "min_value": "Enter a number of fish, or leave it empty.",
            "max_value": "Enter 1,000 fish or fewer, or leave it empty.",
        },
    )
    source = forms.CharField(
        label="Source",
        max_length=200,
        required=False,
        help_text="Title, page, or link",
    )

    def __init__(
        self, *args: Any, unit: str, rule: Regulation, choices: list[Species], **kwargs: Any
    ) -> None:
        stored = {name: getattr(rule, name) for name in type(self).base_fields}
        super().__init__(*args, unit=unit, stored=stored, **kwargs)
        field = cast("forms.ModelChoiceField[Species]", self.fields["species"])
        field.queryset = Species.objects.filter(pk__in=[one.pk for one in choices]).order_by("name")

    def clean(self) -> None:
        self.convert_lengths()
