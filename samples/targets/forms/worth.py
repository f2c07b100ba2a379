"""What is chosen on the page of what one more fish is worth."""

from collections.abc import Mapping
from typing import Any

from django import forms

from samples.form_parts import LengthField, TypedNumber
from samples.targets.forms.filters import Filters
from samples.targets.queries.choice import CoverageOptions, CoverageSelection
from samples.targets.rules import Ages
from samples.units import HUNDREDTHS_PER_MILLIMETRE, LengthUnit, to_text

MOST_MORE, USUAL_MORE, STEP = 300, 60, 5
OLDEST = 60
# How much the mean lengths count beside the age shares.
LENGTHS_WEIGHTS = {"both": 0.5, "shares": 0.0, "lengths": 1.0, "limit": 0.5}
AIMS = [
    ("both", "age shares and mean length"),
    ("shares", "age shares only"),
    ("lengths", "mean length only"),
    ("limit", "length limit"),
]
AGE_EXAMPLE = "Enter a whole age in years, such as 2."


def _preferred(code: str, unit: LengthUnit) -> str:
    """Return the preferred length of Gabelhouse (1984) as text, to ask about first."""
    # Brings in libraries that a process which serves phones starts without.
    from samples.science.size_structure import LENGTHS

    place, inches = LENGTHS.get(code), unit is LengthUnit.INCH
    return f"{(place.inches if inches else place.mm)[2] if place else (12 if inches else 300)}"


class WorthFilters(Filters):
    """Which fish, how many more otoliths are read, and what they are to tell."""

    species = forms.ChoiceField(label="Species")
    season = forms.ChoiceField(label="Season")
    more = TypedNumber(
        label="More otoliths to read",
        min_value=0,
        max_value=MOST_MORE,
        unreadable=f"Enter a whole number from 0 to {MOST_MORE}, such as {USUAL_MORE}.",
        widget=forms.NumberInput(
            attrs={"type": "range", "min": 0, "max": MOST_MORE, "step": STEP, "class": "slider"}
        ),
    )
    aim = forms.ChoiceField(label="Plan for", choices=AIMS)
    first_age = TypedNumber(
        label="From age", required=False, min_value=0, max_value=OLDEST, unreadable=AGE_EXAMPLE
    )
    last_age = TypedNumber(
        label="To age", required=False, min_value=0, max_value=OLDEST, unreadable=AGE_EXAMPLE
    )

    def __init__(self, data: Mapping[str, Any], options: CoverageOptions, **kwargs: Any) -> None:
        super().__init__(data, options, **kwargs)
        self.fields["limit"] = LengthField(unit=options.unit, label="Length limit", required=False)
        lake_species = options.species_coded(str(self.data.get("species", "")))
        code = lake_species.species.code if lake_species else ""
        self.data = {**self.data, "limit": data.get("limit") or _preferred(code, options.unit)}
        for code in ("min_value", "max_value"):
            self.fields["more"].error_messages[code] = (
                f"Enter a number from 0 to {MOST_MORE}, such as {USUAL_MORE}."
            )
        for name in ("first_age", "last_age"):
            for code in ("min_value", "max_value"):
                self.fields[name].error_messages[code] = f"Enter an age from 0 to {OLDEST}."

    def usual_values(self) -> dict[str, str]:
        season, species = self.options.first_season, self.options.species_coded("")
        return {
            "species": species.species.code if species else "",
            "season": season.name if season else "",
            "more": str(USUAL_MORE),
            "aim": "both",
        }

    def choices(self) -> dict[str, list[tuple[str, str]]]:
        return {
            "species": [(one.species.code, one.species.name) for one in self.options.lake_species],
            "season": [(one.name, one.name) for one in self.options.seasons],
        }

    def clean(self) -> None:
        self._check_limit()
        first, last = self.cleaned_data.get("first_age"), self.cleaned_data.get("last_age")
        if first is not None and last is not None and last < first:
            self.add_problem(
                "last_age",
                f"To age is below From age. Enter {first} or more.",
                code="ages_out_of_order",
            )

    def choice(self) -> CoverageSelection | None:
        """Return the fish that were chosen; none where the lake has no season or species."""
        self.is_valid()
        season = self.options.season_named(self.cleaned_data.get("season", ""))
        species = self.options.species_coded(self.cleaned_data.get("species", ""))
        if season is None or species is None:
            return None
        return CoverageSelection(
            lake=self.options.lake,
            season=season,
            species=species.species,
            bin_width=species.bin_width_hundredths_mm,
            closed=season.ends_on < self.options.today,
        )

    @property
    def budget(self) -> int:
        more = self.cleaned_data.get("more")
        return USUAL_MORE if more is None else more

    @property
    def limit_mm(self) -> float:
        """Return the limit in question, in mm; 0 where what was typed is none."""
        limit = self.cleaned_data.get("limit")
        return limit.hundredths_mm / HUNDREDTHS_PER_MILLIMETRE if limit else 0.0

    def _check_limit(self) -> None:
        limit = self.cleaned_data.get("limit")
        lake_species = self.options.species_coded(str(self.cleaned_data.get("species", "")))
        if limit is None or lake_species is None:
            return
        here, unit = lake_species.species_here, self.options.unit
        least, most = here.plausible_min_hundredths_mm, here.plausible_max_hundredths_mm
        if not least <= limit.hundredths_mm <= most:
            self.add_problem(
                "limit",
                f"{here.name} here are {to_text(least, unit)} to {to_text(most, unit)} {unit}. "
                f"Enter a length in that range, such as {_preferred(here.code, unit)}.",
                code="not_plausible",
            )

    @property
    def limit_weight(self) -> float:
        """Return 1 where the plan is for the answer about the limit alone."""
        return float(self.cleaned_data.get("aim") == "limit")

    @property
    def lengths_weight(self) -> float:
        return LENGTHS_WEIGHTS[self.cleaned_data.get("aim") or "both"]

    def ages(self, usual: Ages) -> Ages:
        """Return the ages chosen; an end left open is that of the usual ages, and shown."""
        for name, age in (("first_age", usual.first), ("last_age", usual.last)):
            self.fields[name].widget.attrs["placeholder"] = str(age)
        first, last = self.cleaned_data.get("first_age"), self.cleaned_data.get("last_age")
        first = usual.first if first is None else first
        last = max(first, usual.last) if last is None else last
        return Ages(min(first, last), last)
