"""What is chosen on the pages of a season."""

from django import forms

from samples.models import Season
from samples.seasons.queries.weeks import SPLITS, SeasonChoice
from samples.targets.forms.filters import Filters

EVERY_SPECIES = "all"


class SeasonFilters(Filters):
    """Which season is shown."""

    season = forms.ChoiceField(label="Season")

    def usual_values(self) -> dict[str, str]:
        season = self.options.first_season
        return {"season": season.name if season else ""}

    def choices(self) -> dict[str, list[tuple[str, str]]]:
        return {"season": [(one.name, one.name) for one in self.options.seasons]}

    def chosen_season(self) -> Season | None:
        self.is_valid()
        return self.options.season_named(self.cleaned_data.get("season", ""))


class ProgressFilters(SeasonFilters):
    """Which fish the progress of a season is about."""

    species = forms.ChoiceField(label="Species")
    split = forms.ChoiceField(label="Split by", choices=[(one, one) for one in SPLITS])

    def usual_values(self) -> dict[str, str]:
        species = self.options.species_coded("")
        return {
            **super().usual_values(),
            "species": species.species.code if species else "",
            "split": "arm",
        }

    def choices(self) -> dict[str, list[tuple[str, str]]]:
        species = [(one.species.code, one.species.name) for one in self.options.lake_species]
        return {**super().choices(), "species": [*species, (EVERY_SPECIES, "all species")]}

    def choice(self) -> SeasonChoice | None:
        """Return what was chosen; none where the lake has no season or no species."""
        season = self.chosen_season()
        words = {**self.usual_values(), **self.cleaned_data}
        one = self.options.species_coded(words["species"])
        if season is None or one is None:
            return None
        every = words["species"] == EVERY_SPECIES
        species = self.options.lake_species if every else [one]
        return SeasonChoice(season, species, "arm" if every else words["split"], every)
