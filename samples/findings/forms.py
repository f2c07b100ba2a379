"""What is chosen on the pages of findings."""

from collections.abc import Mapping
from typing import Any

from django import forms

from samples.findings.queries import Choice, Options
from samples.form_parts import PlainForm
from samples.models import Sex
from samples.models.party import Method


class LengthAtAgeFilters(PlainForm):
    """A form in the address: what is not there is at its usual value."""

    species = forms.ChoiceField(label="Species")
    season = forms.ChoiceField(label="Season")
    sex = forms.ChoiceField(label="Sex", required=False, choices=[("", "all"), *Sex.choices])
    method = forms.ChoiceField(
        label="Method", required=False, choices=[("", "all"), *Method.choices]
    )

    def __init__(self, data: Mapping[str, Any], options: Options) -> None:
        self.options = options
        given = {name: data[name] for name in data if name in self.base_fields}
        self.usual = {
            "species": next((one.species.code for one in options.lake_species), ""),
            "season": options.first_season.name if options.first_season else "",
        }
        super().__init__({**self.usual, **given})
        for name, choices in {
            "species": [(one.species.code, one.species.name) for one in options.lake_species],
            "season": [(one.name, one.name) for one in options.seasons],
        }.items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
            field.choices = choices
        for field in self.fields.values():
            field.error_messages["invalid_choice"] = (
                f"{field.label}: this is not one of those at {options.lake}. Choose from the list."
            )

    def choice(self) -> Choice | None:
        """Give what was chosen, at its usual value where that was no choice; none without any."""
        self.is_valid()
        words = {**self.usual, **self.cleaned_data}
        season = next((one for one in self.options.seasons if one.name == words["season"]), None)
        species = next(
            (one for one in self.options.lake_species if one.species.code == words["species"]), None
        )
        if season is None or species is None:
            return None
        return Choice(season, species.species, words.get("sex", ""), words.get("method", ""))
