"""What is chosen for a plan, the stations of a plan, and a net set with its catch."""

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.formats import date_format

from samples.form_parts import PlainDate, PlainForm, RequestIdField, TypedNumber
from samples.models import MOST_PLANNED_SETS, Lake, LakeSpecies, Method, Season
from samples.nets.parts import NetSetFacts, SpeciesCatch, Station
from samples.nets.rules import typed_lengths
from samples.ramp.entry import PartyFacts, specs_of
from samples.rules.plausible import length_questions
from samples.targets.rules import LengthBin
from samples.units import LengthUnit, LengthUnreadable, Measured, parse_length

MOST_COUNTED = 2_000
MOST_MEASURED = 300
GEARS = ((Method.TRAP_NET.value, "Trap net"), (Method.OTHER.value, "Other net"))
_SPECS = {one.attribute: one.spec for one in specs_of(PartyFacts)}
_SMALL = {"inputmode": "numeric", "autocomplete": "off", "size": "3"}
EXAMPLES = {LengthUnit.INCH: "7.2 7.4 8.1", LengthUnit.MILLIMETRE: "183 188 206"}


def _spec_number(name: str, *, required: bool, help_text: str) -> TypedNumber:
    """Return the field of a number as the facts of a trip have it: one set of limits."""
    spec = _SPECS[name]
    sentence = spec.error
    return TypedNumber(
        label=spec.label,
        required=required,
        help_text=help_text,
        min_value=spec.limits["minimum"],
        max_value=spec.limits["maximum"],
        needed=sentence,
        unreadable=sentence,
        error_messages={"min_value": sentence, "max_value": sentence},
    )


def _nights(help_text: str) -> TypedNumber:
    return _spec_number("net_nights", required=True, help_text=help_text)


def _mesh() -> TypedNumber:
    return _spec_number("net_mesh_mm", required=False, help_text="Bar measure, knot to knot")


class StationsForm(PlainForm):
    """How many sets at each station; an empty box is none."""

    def __init__(self, data: Any, *, stations: Sequence[Station], initial: dict[str, Any]) -> None:
        self.stations = list(stations)
        super().__init__(data, initial=initial)
        self.fields["net_nights"] = _nights("Of each set")
        self.fields["net_mesh_mm"] = _mesh()
        wrong = f"Enter a whole number of sets from 0 to {MOST_PLANNED_SETS}, such as 2."
        for one in self.stations:
            self.fields[f"sets_{one.code}"] = TypedNumber(
                label=f"Sets in {one.name}",
                required=False,
                min_value=0,
                max_value=MOST_PLANNED_SETS,
                unreadable=wrong,
                error_messages={"min_value": wrong, "max_value": wrong},
                widget=forms.TextInput(attrs=_SMALL),
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        total = sum(cleaned.get(f"sets_{one.code}") or 0 for one in self.stations)
        if total > MOST_PLANNED_SETS:
            sentence = f"{total} sets are planned. A plan holds {MOST_PLANNED_SETS} at most."
            self.add_problem(None, sentence, code="too_many_sets")
        return cleaned

    def sets(self) -> dict[Station, int]:
        return {one: self.cleaned_data[f"sets_{one.code}"] or 0 for one in self.stations}

    def box(self, station: Station) -> Any:
        return self[f"sets_{station.code}"]


class SpeciesBoxes:
    """The boxes of one species: a count a length bin, and lengths one by one."""

    def __init__(self, form: "NetSetForm", species: LakeSpecies) -> None:
        self.species = species
        self.pk = species.species_id
        self.name = species.species.name
        self.bins = bins_of(species, form.unit)
        self.form = form

    @property
    def boxes(self) -> list[tuple[LengthBin, Any]]:
        return [(one, self.form[self.bin_name(one)]) for one in self.bins]

    @property
    def lengths(self) -> Any:
        return self.form[self.lengths_name]

    @property
    def is_open(self) -> bool:
        """Return whether something stands in a box, or is wrong with it."""
        fields = [*(box for _, box in self.boxes), self.lengths]
        return any(one.errors or one.value() not in (None, "") for one in fields)

    @property
    def lengths_name(self) -> str:
        return f"lengths_{self.pk}"

    def bin_name(self, one: LengthBin) -> str:
        return f"bin_{self.pk}_{one.from_hundredths}"


def bins_of(species: LakeSpecies, unit: LengthUnit) -> list[LengthBin]:
    here, width = species.species_here, species.bin_width_hundredths_mm
    first = here.plausible_min_hundredths_mm // width
    last = (here.plausible_max_hundredths_mm - 1) // width
    return [LengthBin(place, width, unit) for place in range(first, last + 1)]


class NetSetForm(PlainForm):
    """One net set: gear, effort, station, and the catch of each species."""

    request_id = RequestIdField()
    station = forms.ChoiceField(
        label="Station",
        error_messages={
            "required": "Choose the arm or reach where the net was set.",
            "invalid_choice": "Choose an arm or reach of this lake.",
        },
    )
    lifted_on = PlainDate(
        label="Date lifted", needed="Enter the day the net was lifted, such as May 6, 2026."
    )
    method = forms.ChoiceField(
        label="Gear", choices=GEARS, error_messages={"invalid_choice": "Choose trap net or other."}
    )
    empty = forms.BooleanField(
        label="Empty net: no fish of these species",
        required=False,
        help_text="An empty net counts toward catch per net night.",
    )
    right = forms.BooleanField(label="Unusual lengths are right as typed", required=False)

    def __init__(
        self,
        data: Any,
        *,
        lake: Lake,
        stations: Sequence[Station],
        species: Sequence[LakeSpecies],
        seasons: Sequence[Season],
        today: date,
        initial: dict[str, Any],
    ) -> None:
        self.lake, self.today, self.seasons = lake, today, list(seasons)
        self.stations = {one.code: one for one in stations}
        self.unit = LengthUnit(lake.length_unit)
        self.asks = False
        start = {"request_id": uuid4(), "lifted_on": today, "net_nights": 1}
        super().__init__(data, initial=start | initial)
        self.fields["station"].choices = [  # type: ignore[attr-defined]
            ("", "Choose"),
            *((code, one.name) for code, one in self.stations.items()),
        ]
        self.fields["net_nights"] = _nights("Nets times nights: 2 nets left 3 nights are 6")
        self.fields["net_mesh_mm"] = _mesh()
        self.species = [SpeciesBoxes(self, one) for one in species]
        for one in self.species:
            self._add_boxes(one)

    def _add_boxes(self, one: SpeciesBoxes) -> None:
        wrong = f"Enter a whole number of fish from 0 to {MOST_COUNTED:,}, such as 12."
        for length_bin in one.bins:
            self.fields[one.bin_name(length_bin)] = TypedNumber(
                label=f"{one.name}, {length_bin.name}",
                required=False,
                min_value=0,
                max_value=MOST_COUNTED,
                unreadable=wrong,
                error_messages={"min_value": wrong, "max_value": wrong},
                widget=forms.TextInput(attrs=_SMALL),
            )
        self.fields[one.lengths_name] = forms.CharField(
            label=f"{one.name} measured one by one",
            required=False,
            max_length=4_000,
            help_text=f"Total lengths with spaces between, such as {EXAMPLES[self.unit]}",
            widget=forms.Textarea(attrs={"rows": 2, "autocomplete": "off", "inputmode": "text"}),
        )

    def clean_lifted_on(self) -> date:
        day: date = self.cleaned_data["lifted_on"]
        if day > self.today:
            raise forms.ValidationError(
                f"{date_format(day)} is after today. Enter the day the net was lifted, such as "
                f"{date_format(self.today)}.",
                code="date_in_future",
            )
        if not any(one.starts_on <= day <= one.ends_on for one in self.seasons):
            raise forms.ValidationError(
                f"{date_format(day)} is in no season of {self.lake}. Check the year, or ask the "
                "biologist to add the season.",
                code="date_out_of_season",
            )
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        self.catch = [self._catch_of(one, cleaned) for one in self.species]
        fish = sum(one.fish for one in self.catch)
        if self.errors:
            return cleaned
        if not fish and not cleaned.get("empty"):
            self.add_problem("empty", "Enter the catch, or check Empty net.", code="no_catch")
        if fish and cleaned.get("empty"):
            sentence = f"{fish} fish are entered. Clear the check, or the fish."
            self.add_problem("empty", sentence, code="catch_of_empty")
        return cleaned

    def _catch_of(self, one: SpeciesBoxes, cleaned: dict[str, Any]) -> SpeciesCatch:
        by_bin = [
            (each.from_hundredths, each.below_hundredths, cleaned.get(one.bin_name(each)) or 0)
            for each in one.bins
        ]
        lengths, confirmed = self._lengths_of(one, cleaned.get(one.lengths_name) or "")
        return SpeciesCatch(
            one.pk,
            one.species.species.code,
            tuple(row for row in by_bin if row[2]),
            tuple(lengths),
            tuple(sorted(confirmed)),
        )

    def _lengths_of(self, one: SpeciesBoxes, text: str) -> tuple[list[Measured], set[str]]:
        """Read the lengths of a species; ask about those that are unusual, unless confirmed."""
        here = one.species.species_here
        usual = (here.plausible_min_hundredths_mm, here.plausible_max_hundredths_mm)
        typed = typed_lengths(text)
        if len(typed) > MOST_MEASURED:
            sentence = f"{len(typed)} lengths. Enter {MOST_MEASURED} at most; count the rest."
            self.add_problem(one.lengths_name, sentence, code="too_many_lengths")
            return [], set()
        lengths, confirmed = [], set()
        for place, word in enumerate(typed, start=1):
            try:
                length = parse_length(word, self.unit)
            except LengthUnreadable as problem:
                sentence = f"Length {place} ({word}): {problem.sentence}"
                self.add_problem(one.lengths_name, sentence, code=problem.code)
                continue
            asked = length_questions(
                length.hundredths_mm, length.as_measured, length.unit, usual, one.name
            )
            lengths.append(length)
            confirmed |= {question.code for question in asked}
            if asked and not self._is_confirmed():
                self.asks = True
                sentence = f"Length {place} ({word}): {asked[0].sentence}"
                self.add_problem(one.lengths_name, sentence, code=asked[0].code)
        return lengths, confirmed

    def _is_confirmed(self) -> bool:
        return bool(self.cleaned_data.get("right"))

    def facts(self) -> NetSetFacts:
        cleaned = self.cleaned_data
        return NetSetFacts(
            request_id=cleaned["request_id"],
            station=self.stations[cleaned["station"]],
            lifted_on=cleaned["lifted_on"],
            method=cleaned["method"],
            net_nights=cleaned["net_nights"],
            net_mesh_mm=cleaned["net_mesh_mm"],
            catch=tuple(one for one in self.catch if one.fish),
        )
