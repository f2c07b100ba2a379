"""What is chosen on the pages of coverage and its fish."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.datastructures import MultiValueDict

from samples.form_parts import LengthField, PlainForm, plain
from samples.models import Arm, Sex
from samples.models.party import Method
from samples.targets.presenters.fish_table import ALWAYS_SHOWN, columns_offered, columns_shown
from samples.targets.queries.choice import (
    OWN_BINS,
    REACH_NOT_NOTED,
    CoverageOptions,
    CoverageSelection,
    width_text,
    widths_of,
)
from samples.targets.queries.fish import AT_LEAST, USUAL_SORT, FishChoice
from samples.targets.rules import Count


class Filters(PlainForm):
    """A form in the address: what is not there is at its usual value."""

    usual: dict[str, str] = {}

    def __init__(self, data: Mapping[str, Any], options: CoverageOptions, **kwargs: Any) -> None:
        self.options = options
        given = {name: self.given(data, name) for name in data if name in self.base_fields}
        super().__init__({**self.usual_values(), **given}, **kwargs)
        for name, choices in self.choices().items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
            field.choices = choices
            field.error_messages["invalid_choice"] = (
                f"{plain(field.label)}: not at {plain(options.lake)}. Choose one from the list."
            )

    def given(self, data: Mapping[str, Any], name: str) -> Any:
        """Return what the address says of a field: all of it where several may be chosen."""
        several = isinstance(self.base_fields[name], forms.MultipleChoiceField)
        return data.getlist(name) if several and isinstance(data, MultiValueDict) else data[name]

    def usual_values(self) -> dict[str, str]:
        return self.usual

    def choices(self) -> dict[str, list[tuple[str, str]]]:
        return {}

    def reach_choices(self) -> list[tuple[str, str]]:
        names = [(name, name) for name in self.options.reach_ids]
        return [("", "all"), *names, (REACH_NOT_NOTED, REACH_NOT_NOTED)]

    def reach_ids(self, reach: str) -> tuple[int, ...]:
        return tuple(self.options.reach_ids.get(reach, ()))


class LengthFilters(Filters):
    """Filters that have a range of lengths among them."""

    def __init__(self, data: Mapping[str, Any], options: CoverageOptions, **kwargs: Any) -> None:
        super().__init__(data, options, **kwargs)
        for name, label in (("from", "From length"), ("below", "Below length")):
            self.fields[name] = LengthField(unit=options.unit, label=label, required=False)
            if name in data:
                self.data = {**self.data, name: data[name]}


class CoverageFilters(Filters):
    """Which fish coverage counts."""

    species = forms.ChoiceField(label="Species")
    season = forms.ChoiceField(label="Season")
    bin = forms.ChoiceField(label="Length bin")
    count = forms.ChoiceField(label="Count fish", choices=[(one, one) for one in Count])
    sex = forms.ChoiceField(label="Sex", required=False)
    method = forms.ChoiceField(label="Method", required=False)
    reach = forms.ChoiceField(label="Reach", required=False)

    def usual_values(self) -> dict[str, str]:
        season, species = self.options.first_season, self.options.species_coded("")
        return {
            "species": species.species.code if species else "",
            "season": season.name if season else "",
            "bin": OWN_BINS,
            "count": Count.AGED,
        }

    def choices(self) -> dict[str, list[tuple[str, str]]]:
        species = self.options.species_coded(str(self.data.get("species", "")))
        widths = widths_of(species, self.options.unit) if species else {}
        if self.data["bin"] not in widths:
            # Another species may have no half bins: that is no mistake of the reader's.
            self.data = {**self.data, "bin": OWN_BINS}
        return {
            "species": [(one.species.code, one.species.name) for one in self.options.lake_species],
            "season": [(one.name, one.name) for one in self.options.seasons],
            "bin": [(name, width_text(w, self.options.unit)) for name, w in widths.items()],
            "sex": [("", "all"), *Sex.choices],
            "method": [("", "all"), *Method.choices],
            "reach": self.reach_choices(),
        }

    def choice(self) -> CoverageSelection | None:
        """Return what was chosen, at its usual value where that was no choice; none without any."""
        self.is_valid()
        words = {**self.usual_values(), **self.cleaned_data}
        season = self.options.season_named(words["season"])
        species = self.options.species_coded(words["species"])
        if season is None or species is None:
            return None
        reach = words.get("reach", "")
        return CoverageSelection(
            lake=self.options.lake,
            season=season,
            species=species.species,
            bin_width=widths_of(species, self.options.unit)[words["bin"]],
            bins=words["bin"],
            count=Count(words["count"]),
            sex=words.get("sex", ""),
            method=words.get("method", ""),
            reach=reach,
            reach_ids=self.reach_ids(reach),
            closed=season.ends_on < self.options.today,
        )


class FishFilters(LengthFilters):
    """Which fish are listed."""

    species = forms.ChoiceField(label="Species", required=False)
    season = forms.ChoiceField(label="Season", required=False)
    arm = forms.ChoiceField(label="Arm", required=False)
    count = forms.ChoiceField(
        label="Status",
        choices=[
            ("all", "all measured"),
            ("logged", "with a vial or an age"),
            ("received", "at least received"),
            ("aged", "aged"),
        ],
    )
    sex = forms.ChoiceField(label="Sex", required=False)
    method = forms.ChoiceField(label="Method", required=False)
    reach = forms.ChoiceField(label="Reach", required=False)
    sort = forms.ChoiceField(label="Sort by", required=False)
    order = forms.ChoiceField(
        label="Order", required=False, choices=[("up", "ascending"), ("down", "descending")]
    )
    col = forms.MultipleChoiceField(
        label="Columns", required=False, widget=forms.CheckboxSelectMultiple
    )

    usual = {"count": "all", "sort": USUAL_SORT, "order": "up"}

    def __init__(
        self,
        data: Mapping[str, Any],
        options: CoverageOptions,
        *,
        donors_named: bool,
        **kwargs: Any,
    ) -> None:
        self.offered = columns_offered(donors_named=donors_named)
        super().__init__(data, options, **kwargs)
        self._leave_out_columns_not_offered()

    def _leave_out_columns_not_offered(self) -> None:
        """Open a view that names more columns than this person may see, without them."""
        offered = {one.key for one in self.offered}
        chosen = [key for key in self.data.get("col", []) if key in offered]
        sort = self.data["sort"] if self.data["sort"] in offered else USUAL_SORT
        shown = columns_shown(self.offered, chosen, one_species=bool(self.data.get("species")))
        self.columns = shown
        # The boxes show what the table shows, whether somebody chose it or not.
        boxes = [one.key for one in shown if one.key != ALWAYS_SHOWN]
        self.data = {**self.data, "sort": sort, "col": boxes}

    @property
    def sort_order(self) -> tuple[str, bool]:
        """Return the column that the list is sorted by, and whether downward."""
        return self.data["sort"], self.cleaned_data.get("order") == "down"

    def choices(self) -> dict[str, list[tuple[str, str]]]:
        species = [(one.species.code, one.species.name) for one in self.options.lake_species]
        return {
            "species": [("", "all"), *species],
            "season": [("", "all"), *((one.name, one.name) for one in self.options.seasons)],
            "arm": [("", "all"), *((str(one.pk), one.name) for one in self.options.arms)],
            "sort": [(one.key, one.head.lower()) for one in self.offered],
            "col": [(one.key, one.head) for one in self.offered if one.key != ALWAYS_SHOWN],
            "sex": [("", "all"), *Sex.choices],
            "method": [("", "all"), *Method.choices],
            "reach": self.reach_choices(),
        }

    def choice(self) -> FishChoice:
        self.is_valid()
        words = self.cleaned_data
        season, species = words.get("season"), words.get("species")
        found = self.options.species_coded(species) if species else None
        reach = words.get("reach", "")
        count = words.get("count", "all")
        return FishChoice(
            lake=self.options.lake,
            season=self.options.season_named(season) if season else None,
            species=found.species if found else None,
            arm=_arm(self.options.arms, words.get("arm", "")),
            count=count if count in AT_LEAST else "all",
            sex=words.get("sex", ""),
            method=words.get("method", ""),
            reach=reach,
            reach_ids=self.reach_ids(reach),
            from_length=words.get("from"),
            below_length=words.get("below"),
        )


def _arm(arms: list[Arm], pk: str) -> Arm | None:
    return next((arm for arm in arms if str(arm.pk) == pk), None)
