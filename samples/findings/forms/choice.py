"""What is chosen on the pages of findings. It stands in the address, so a page can be shared."""

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
    FindingsOptions,
    FindingsSelection,
)
from samples.form_parts import PlainForm, plain
from samples.models import HowChosen, LakeSpecies, Method, Sex, Species

SIDE_BY_SIDE = [
    (ARMS, "Arms"),
    (SEXES, "Sexes"),
    (GROUP, "Species and hybrids of its group"),
    (TOGETHER, "Nothing: all together"),
]
AGES = [
    (ALL, "All ages"),
    (SINGLE, "Read here, one reader included"),
    (AGREED, "Consensus and decided ages only"),
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
        label="Length at radius zero, mm (empty: from these fish)",
        required=False,
        min_value=0,
        max_value=60,
        error_messages={
            "invalid": "Enter a length in mm, such as 20.",
            "min_value": "Enter 0 mm or more.",
            "max_value": "Enter less than 60 mm.",
        },
    )
    true_ages = forms.BooleanField(label="True ages, drawn back from the ages read", required=False)

    def __init__(self, data: MultiValueDict[str, str], options: FindingsOptions) -> None:
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
                f"{plain(field.label)}: not at {plain(options.lake)}. Choose one from the list."
            )

    def usual(self, data: MultiValueDict[str, str]) -> dict[str, list[str]]:
        """Return what is chosen where the address says nothing."""
        first = self.options.first_season
        return {
            "species": [one.species.code for one in self.options.lake_species[:1]],
            "season": [first.name] if first else [],
            "by": [ARMS],
            "ages": [ALL],
        }

    @property
    def words(self) -> str:
        """Return all that was chosen as one text: another choice is another text."""
        return repr(sorted(self.given.lists()))

    @property
    def narrowed(self) -> bool:
        """Return whether more was chosen than species and season, so that it is shown open."""
        return any(self.given.getlist(name) for name in ("arm", "sex", "method", "chosen"))

    @property
    def lists(self) -> list[BoundField]:
        return [self[name] for name in ("species", "ages", "by")]

    @property
    def ticks(self) -> list[BoundField]:
        return [self[name] for name in ("season", "arm", "sex", "method", "chosen")]

    @property
    def first_asked(self) -> list[BoundField]:
        """Return what stands before the choice of fish."""
        return []

    @property
    def rules(self) -> list[BoundField]:
        """Return what else there is to change."""
        return []

    @property
    def ready(self) -> bool:
        """Return whether the lake has anything to choose from."""
        return bool(self.options.first_season and self.options.lake_species)

    def choice(self) -> FindingsSelection | None:
        """Return what was chosen; nothing where the lake has no season or species,
        or it is wrong.
        """
        if not self.ready or not self.is_valid():
            return None
        words = self.cleaned_data
        [species] = [
            one for one in self.options.lake_species if one.species.code == words["species"]
        ]
        return FindingsSelection(
            species=species,
            seasons=tuple(one for one in self.options.seasons if one.name in words["season"]),
            arms=tuple(one for one in self.options.arms if one.name in words["arm"]),
            compare=words["by"],
            sexes=tuple(words["sex"]),
            methods=tuple(words["method"]),
            how_chosen=tuple(words["chosen"]),
            ages=words["ages"],
            intercept_mm=None if words["intercept"] is None else float(words["intercept"]),
            true_ages=words["true_ages"],
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


class AllSeasonsForm(ChoiceForm):
    """The same for what is told over seasons: all that have begun, unless the address says."""

    def usual(self, data: MultiValueDict[str, str]) -> dict[str, list[str]]:
        usual = super().usual(data)
        first = self.options.first_season
        begun = [one for one in self.options.seasons if first and one.starts_on <= first.starts_on]
        return usual | {"season": [one.name for one in begun]}
