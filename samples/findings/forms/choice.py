"""What is chosen on the pages of findings. It stands in the address, so a page can be shared."""

from dataclasses import replace
from decimal import Decimal

from django import forms
from django.forms import BoundField
from django.utils.datastructures import MultiValueDict

from samples.findings.queries import (
    AGREED,
    ALL,
    ARMS,
    GROUP,
    SEXES,
    SINGLE,
    TOGETHER,
    Choice,
    Options,
)
from samples.findings.queries.choice import LimitChoice
from samples.form_parts import LengthField, PlainForm, TypedNumber, plain
from samples.models import HowChosen, LakeSpecies, Method, Sex, Species
from samples.science.length_limit.verdict import Lines
from samples.science.size_structure import LENGTHS
from samples.units import LengthUnit, to_text

# A death rate wants three seasons; limits on small fish go by the inch.
MOST_SEASONS = 3
SMALL_FISH_IN, SMALL_FISH_MM = 12, 300

SIDE_BY_SIDE = [
    (ARMS, "Arms"),
    (SEXES, "Sexes"),
    (GROUP, "Species and hybrids of its group"),
    (TOGETHER, "Nothing: all together"),
]
AGES = [
    (ALL, "Every age there is"),
    (SINGLE, "Our own readings, one reader's too"),
    (AGREED, "Agreed or decided ages only"),
]


class ChoiceForm(PlainForm):
    """A form in the address: what is not there is at its usual value, which is all of it."""

    species = forms.ChoiceField(label="Species")
    season = forms.MultipleChoiceField(label="Seasons", widget=forms.CheckboxSelectMultiple)
    arm = forms.MultipleChoiceField(
        label="Arms", required=False, widget=forms.CheckboxSelectMultiple
    )
    by = forms.ChoiceField(label="Side by side", choices=SIDE_BY_SIDE)
    sex = forms.MultipleChoiceField(
        label="Sex", required=False, choices=Sex.choices, widget=forms.CheckboxSelectMultiple
    )
    method = forms.MultipleChoiceField(
        label="Caught by",
        required=False,
        choices=Method.choices,
        widget=forms.CheckboxSelectMultiple,
    )
    chosen = forms.MultipleChoiceField(
        label="How chosen",
        required=False,
        choices=HowChosen.choices,
        widget=forms.CheckboxSelectMultiple,
    )
    ages = forms.ChoiceField(label="Ages", choices=AGES)
    intercept = forms.DecimalField(
        label="Length at no radius, mm (open: from these fish)",
        required=False,
        min_value=0,
        max_value=60,
        error_messages={
            "invalid": "Give a length in mm, such as 20.",
            "min_value": "A fish has no length below 0 mm.",
            "max_value": "A fish of 60 mm has scales and rings: give less.",
        },
    )

    def __init__(self, data: MultiValueDict[str, str], options: Options) -> None:
        self.options = options
        self.given: MultiValueDict[str, str] = MultiValueDict()
        usual = self.usual(data)
        for name in self.base_fields:
            given = [one for one in data.getlist(name) if one]
            self.given.setlist(name, given or usual.get(name, []))
        super().__init__(self.given)
        for name, choices in {
            "species": [(one.species.code, one.species.name) for one in options.lake_species],
            "season": [(one.name, one.name) for one in options.seasons],
            "arm": [(one.name, one.name) for one in options.arms],
        }.items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
            field.choices = choices
        for field in self.fields.values():
            if not isinstance(field, forms.ChoiceField):
                continue
            field.error_messages["invalid_choice"] = (
                f"{field.label}: this is not one of those at {plain(options.lake)}. "
                "Choose from the list."
            )

    def usual(self, data: MultiValueDict[str, str]) -> dict[str, list[str]]:
        """Give what is chosen where the address says nothing."""
        first = self.options.first_season
        return {
            "species": [one.species.code for one in self.options.lake_species[:1]],
            "season": [first.name] if first else [],
            "by": [ARMS],
            "ages": [ALL],
        }

    @property
    def words(self) -> str:
        """Give all that was chosen as one text: another choice is another text."""
        return repr(sorted(self.given.lists()))

    @property
    def narrowed(self) -> bool:
        """Say whether more was chosen than species and season, so that it is shown open."""
        return any(self.given.getlist(name) for name in ("arm", "sex", "method", "chosen"))

    @property
    def lists(self) -> list[BoundField]:
        return [self[name] for name in ("species", "ages", "by")]

    @property
    def ticks(self) -> list[BoundField]:
        return [self[name] for name in ("season", "arm", "sex", "method", "chosen")]

    @property
    def first_asked(self) -> list[BoundField]:
        """Give what stands before the choice of fish."""
        return []

    @property
    def rules(self) -> list[BoundField]:
        """Give what else there is to change."""
        return []

    @property
    def ready(self) -> bool:
        """Say whether the lake has anything to choose from."""
        return bool(self.options.first_season and self.options.lake_species)

    def choice(self) -> Choice | None:
        """Give what was chosen; nothing where the lake has no season or species, or it is wrong."""
        if not self.ready or not self.is_valid():
            return None
        words = self.cleaned_data
        [species] = [
            one for one in self.options.lake_species if one.species.code == words["species"]
        ]
        return Choice(
            species=species,
            seasons=tuple(one for one in self.options.seasons if one.name in words["season"]),
            arms=tuple(one for one in self.options.arms if one.name in words["arm"]),
            by=words["by"],
            sexes=tuple(words["sex"]),
            methods=tuple(words["method"]),
            how_chosen=tuple(words["chosen"]),
            ages=words["ages"],
            intercept_mm=None if words["intercept"] is None else float(words["intercept"]),
            relatives=self._relatives(species) if words["by"] == GROUP else (),
        )

    def _relatives(self, species: LakeSpecies) -> tuple[LakeSpecies, ...]:
        """List the other species and hybrids of its group; "not sure" is none of them."""
        group = species.species.group_id
        return tuple(
            one
            for one in self.options.lake_species
            if group is not None
            and one != species
            and one.species.group_id == group
            and one.species.kind != Species.Kind.NOT_SURE
        )


def _share(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        min_value=1,
        max_value=99,
        error_messages={
            "invalid": f"{label}: give a number from 1 to 99.",
            "min_value": f"{label}: give a number from 1 to 99.",
            "max_value": f"{label}: give a number from 1 to 99.",
        },
    )


def _years(label: str) -> forms.DecimalField:
    words = f"{label}: give years, from 0.5 to 10."
    return forms.DecimalField(
        label=label,
        min_value=Decimal("0.5"),
        max_value=10,
        error_messages={"invalid": words, "min_value": words, "max_value": words},
    )


class LimitForm(ChoiceForm):
    """The same with up to three limits, and the lines between the verdicts."""

    limit_1 = LengthField(label="Limit in question")
    limit_2 = LengthField(label="Another limit", required=False)
    limit_3 = LengthField(label="A third limit", required=False)
    release = forms.ChoiceField(label="Released fish die as", required=False)
    caught_below = forms.DecimalField(
        label="Short fish are caught, times as often as longer ones",
        min_value=0,
        max_value=5,
        error_messages={
            "invalid": "Give a number such as 0.5.",
            "min_value": "Give a number from 0 to 5.",
            "max_value": "Give a number from 0 to 5.",
        },
    )
    fewest_aged = TypedNumber(
        label="Aged fish that a verdict wants",
        min_value=10,
        max_value=1000,
        error_messages={
            "min_value": "A growth curve needs 10 fish at the least.",
            "max_value": "Give 1000 or fewer.",
        },
    )
    fair_years = _years("A way that growth is not blamed for, years")
    long_years = _years("A long way, years")
    little_taken = _share("Little is taken before the limit, %")
    many_taken = _share("Many are taken before it, %")
    few_live = _share("Few live to it, %")
    agree = _share("Draws that must agree, of 100")
    lines = ("fair_years", "long_years", "little_taken", "many_taken", "few_live", "agree")
    limits = ("limit_1", "limit_2", "limit_3")

    def __init__(
        self, data: MultiValueDict[str, str], options: Options, release: list[tuple[str, str]]
    ) -> None:
        super().__init__(data, options)
        for name in self.limits:
            field = self.fields[name]
            assert isinstance(field, LengthField)  # noqa: S101  # for the type checker
            field.unit = options.unit
            field.error_messages["required"] = "Give the limit that is asked about."
        field = self.fields["release"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
        field.choices = [("", "The mildest entered"), *release]

    def usual(self, data: MultiValueDict[str, str]) -> dict[str, list[str]]:
        """Take three seasons, three limits about the preferred length, and the usual lines."""
        usual = super().usual(data)
        first = self.options.first_season
        begun = [one for one in self.options.seasons if first and one.starts_on <= first.starts_on]
        code = data.get("species") or "".join(usual["species"])
        lines = Lines()
        return usual | {
            "season": [one.name for one in begun[:MOST_SEASONS]],
            **{
                name: [text]
                for name, text in zip(self.limits, self._limits(code), strict=True)
                if not data.get("limit_1")
            },
            "caught_below": ["1"],
            "fewest_aged": [str(LimitChoice().fewest_aged)],
            "fair_years": [f"{lines.fair_years:g}"],
            "long_years": [f"{lines.long_years:g}"],
            "little_taken": [f"{100 * lines.little_taken:g}"],
            "many_taken": [f"{100 * lines.many_taken:g}"],
            "few_live": [f"{100 * lines.few_live:g}"],
            "agree": [f"{100 * lines.agree:g}"],
        }

    @property
    def first_asked(self) -> list[BoundField]:
        return [self[name] for name in self.limits]

    @property
    def rules(self) -> list[BoundField]:
        return [self[name] for name in ("release", "caught_below", "fewest_aged", *self.lines)]

    def _limits(self, code: str) -> list[str]:
        """Give the preferred length of Gabelhouse (1984) and a step to either side."""
        inches = self.options.unit is LengthUnit.INCH
        place = LENGTHS.get(code)
        middle = (place.inches if inches else place.mm)[2] if place else (12 if inches else 300)
        small = middle <= SMALL_FISH_IN if inches else middle <= SMALL_FISH_MM
        step = (1 if small else 2) if inches else (25 if small else 50)
        return [f"{one}" for one in (middle, middle - step, middle + step)]

    def clean(self) -> None:
        """Ask for a limit that fish of this species can come to."""
        chosen = [
            one for one in self.options.lake_species if one.species.code == self.data["species"]
        ]
        for name in self.limits:
            limit = self.cleaned_data.get(name)
            for one in chosen:
                most = one.species_here.plausible_max_hundredths_mm
                if limit and not 0 < limit.hundredths_mm <= most:
                    longest = f"{to_text(most, self.options.unit)} {self.options.unit.value}"
                    self.add_error(
                        name, f"No {one.species.name.lower()} is longer than {longest}. Give less."
                    )

    def choice(self) -> Choice | None:
        chosen = super().choice()
        if chosen is None:
            return None
        words = self.cleaned_data
        limits = [words[name].hundredths_mm / 100 for name in self.limits if words[name]]
        limit = LimitChoice(
            limits_mm=tuple(dict.fromkeys(limits)),
            lines=Lines(
                fair_years=float(words["fair_years"]),
                long_years=float(words["long_years"]),
                little_taken=float(words["little_taken"]) / 100,
                many_taken=float(words["many_taken"]) / 100,
                few_live=float(words["few_live"]) / 100,
                agree=float(words["agree"]) / 100,
            ),
            release=words["release"],
            caught_below=float(words["caught_below"]),
            fewest_aged=words["fewest_aged"],
        )
        return replace(chosen, limit=limit)


class AllSeasonsForm(ChoiceForm):
    """The same for what is told over seasons: all that have begun, unless the address says."""

    def usual(self, data: MultiValueDict[str, str]) -> dict[str, list[str]]:
        usual = super().usual(data)
        first = self.options.first_season
        begun = [one for one in self.options.seasons if first and one.starts_on <= first.starts_on]
        return usual | {"season": [one.name for one in begun]}
