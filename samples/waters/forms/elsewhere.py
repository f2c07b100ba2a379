"""Words typed for figures from elsewhere: per cent on the page, shares of 1 behind it."""

from decimal import Decimal
from typing import Any, cast

from django import forms

from samples.form_parts import LengthField, PlainDate, TypedNumber
from samples.models import Arm, Season, Species
from samples.waters.forms.parts import ShareField, UnitForm
from samples.waters.rules import (
    Unwritable,
    percent_text,
    read_number,
    share_of_percent,
    share_of_rate,
)

WHOLE_LAKE = "Whole lake"
OLDEST_KNOWN_YEARS = 150
MOST_COUNTED = 10_000_000
RANGE = ("least", "middle", "most")
NO_CHOICE = "This is not in the list. Choose again."


def counted(label: str, *, least: int = 0, **kwargs: Any) -> TypedNumber:
    """Make a field for a number of things, in which a comma only parts the thousands."""
    return TypedNumber(
        label=label,
        min_value=least,
        max_value=MOST_COUNTED,
        error_messages={
            "min_value": f"Give a number of {least} or more.",
            "max_value": "This has too many digits. Give fewer.",
        },
        **kwargs,
    )


class FigureForm(UnitForm):
    """What every figure says: of which fish, from which source, and of when it is."""

    species = forms.ModelChoiceField(
        Species.objects.none(),
        label="Species",
        empty_label="Choose one",
        error_messages={
            "required": "Of which species? Choose one.",
            "invalid_choice": NO_CHOICE,
        },
    )
    source = forms.CharField(
        label="Source",
        max_length=300,
        help_text="Report, paper or survey, with its year",
        error_messages={"required": "Where does it come from? Give the report, paper or survey."},
    )
    as_of = PlainDate(
        label="As of",
        needed="Of when is it? Give a date.",
        help_text="The day the figure speaks of; for a whole year, its last day",
    )

    def __init__(
        self, *args: Any, unit: str, stored: dict[str, Any], species: list[Species], **kwargs: Any
    ) -> None:
        super().__init__(*args, unit=unit, stored=stored, **kwargs)
        self.offer("species", Species.objects.filter(pk__in=[one.pk for one in species]), "name")

    def offer(self, name: str, rows: Any, *order: str) -> None:
        cast("forms.ModelChoiceField[Any]", self.fields[name]).queryset = rows.order_by(*order)

    def clean(self) -> None:
        self.convert_lengths()


class ArmForm(FigureForm):
    """A figure of an arm or of the whole lake."""

    arm = forms.ModelChoiceField(
        Arm.objects.none(),
        label="Arm",
        required=False,
        empty_label=WHOLE_LAKE,
        error_messages={"invalid_choice": NO_CHOICE},
    )

    def __init__(self, *args: Any, arms: list[Arm], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("arm", Arm.objects.filter(pk__in=[one.pk for one in arms]), "position", "pk")


class PlacedForm(ArmForm):
    """A figure of one season, of an arm or of the whole lake."""

    season = forms.ModelChoiceField(
        Season.objects.none(),
        label="Season",
        empty_label="Choose one",
        error_messages={"required": "Of which season? Choose one.", "invalid_choice": NO_CHOICE},
    )

    def __init__(self, *args: Any, seasons: list[Season], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer(
            "season", Season.objects.filter(pk__in=[one.pk for one in seasons]), "-starts_on"
        )


class NaturalDeathForm(ArmForm):
    """How many die of natural causes, as per cent in a year or as a rate."""

    PERCENT, RATE = "percent", "rate"

    given_as = forms.ChoiceField(
        label="Given as",
        choices=[(PERCENT, "Per cent in a year"), (RATE, "M, per year")],
        widget=forms.RadioSelect,
        initial=PERCENT,
        help_text="30 per cent is M of 0.36",
        error_messages={
            "required": "Per cent or a rate? Choose one.",
            "invalid_choice": "Per cent or a rate? Choose one.",
        },
    )
    least = forms.CharField(
        label="Least", max_length=12, help_text="Per cent, like 24; or M, like 0.28"
    )
    middle = forms.CharField(label="Middle, the likeliest", max_length=12)
    most = forms.CharField(label="Most", max_length=12)
    oldest_years = TypedNumber(
        label="Oldest fish known of a water that is hardly fished, years",
        required=False,
        min_value=1,
        max_value=OLDEST_KNOWN_YEARS,
        help_text="The oldest of a fished lake would make natural death too large",
        error_messages={
            "min_value": "Give 1 year or more, or leave it empty.",
            "max_value": f"Give {OLDEST_KNOWN_YEARS} years or fewer.",
        },
    )
    field_order = (
        "species",
        "arm",
        "given_as",
        "least",
        "middle",
        "most",
        "oldest_years",
        "source",
    )

    def __init__(self, *args: Any, stored: dict[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, stored=stored, **kwargs)
        for name in RANGE:
            field = self.fields[name]
            field.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
            field.error_messages["required"] = f"Give the {name}: there is no figure without it."
            if isinstance(stored.get(name), Decimal):
                self.initial[name] = percent_text(stored[name])

    def clean_least(self) -> Decimal | None:
        return self._share("least")

    def clean_middle(self) -> Decimal | None:
        return self._share("middle")

    def clean_most(self) -> Decimal | None:
        return self._share("most")

    def _share(self, name: str) -> Decimal | None:
        """Read a number as what was chosen; without a choice only that is asked for."""
        given_as = self.cleaned_data.get("given_as")
        if given_as is None:
            return None
        try:
            number = read_number(self.cleaned_data[name])
            if given_as == self.RATE:
                return share_of_rate(number)
            if 0 < number < 1:
                raise Unwritable(
                    "share",
                    f"Give per cent, not a share: {percent_text(number)} if you mean "
                    f"{number.normalize()}. For a rate per year, choose M above.",
                )
            return share_of_percent(number)
        except Unwritable as problem:
            raise forms.ValidationError(str(problem), code=problem.code) from problem

    def clean(self) -> None:
        super().clean()
        self.cleaned_data.pop("given_as", None)


class ReleaseDeathForm(FigureForm):
    """How many released fish die of it, in per cent."""

    when = forms.CharField(
        label="Season and depth",
        max_length=120,
        required=False,
        help_text="In words, for example Spring, less than 15 ft down",
    )
    least = ShareField(label="Least", needed="Give the least: there is no figure without it.")
    middle = ShareField(
        label="Middle, the likeliest", needed="Give the middle: there is no figure without it."
    )
    most = ShareField(label="Most", needed="Give the most: there is no figure without it.")
    field_order = ("species", "when", "least", "middle", "most", "source")


class TagReturnsForm(PlacedForm):
    """Tags out and back in a season, and what keeps tags from coming back."""

    tags_out = counted("Tags put out", least=1, needed="How many tags went out?")
    returned = counted(
        "Tags returned, fish kept",
        needed="Enter the tags returned of fish kept, such as 24.",
        help_text="Within the year",
    )
    returned_released = counted(
        "Tags returned, fish released",
        required=False,
        help_text="Reported, but not harvest; 0 if none",
    )
    high_reward_out = counted(
        "High-reward tags put out",
        least=1,
        required=False,
        help_text="They measure the reporting rate; leave empty if none",
    )
    high_reward_returned = counted(
        "High-reward tags returned",
        required=False,
        help_text="Of fish kept and released together",
    )
    reporting_least = ShareField(
        label="Anglers who report a tag, at least",
        above_one=True,
        needed="How many anglers report a tag, at least? Give per cent.",
        help_text="Of the tags that anglers find, the part they send back",
    )
    reporting_most = ShareField(
        label="Anglers who report a tag, at most",
        above_one=True,
        needed="How many anglers report a tag, at most? Give per cent.",
    )
    tags_kept = ShareField(
        label="Tags still on the fish after a year",
        above_one=True,
        needed="How many fish keep their tag? Give per cent; 100 if all.",
        help_text="100 if none was lost",
    )
    survived_tagging = ShareField(
        label="Fish that lived through tagging",
        above_one=True,
        needed="How many lived through tagging? Give per cent; 100 if all.",
        help_text="100 if none died of it",
    )
    field_order = ("season", "species", "arm", "tags_out", "returned", "returned_released",
                   "high_reward_out", "high_reward_returned", "reporting_least",
                   "reporting_most", "tags_kept", "survived_tagging", "source")  # fmt: skip

    def clean_returned_released(self) -> int:
        return self.cleaned_data["returned_released"] or 0


class CreelForm(PlacedForm):
    """What a creel survey found; whatever it did not ask stays empty."""

    lengths = ("smallest_kept_hundredths_mm",)

    angler_hours = counted("Hours fished", required=False, help_text="By all anglers together")
    caught = counted("Fish caught", required=False, help_text="Kept and released together")
    released = ShareField(label="Released, of those caught", required=False)
    smallest_kept_hundredths_mm = LengthField(
        label="Smallest size that anglers keep",
        required=False,
        help_text="The total length from which most fish are kept",
    )
    field_order = ("season", "species", "arm", "angler_hours", "caught", "released",
                   "smallest_kept_hundredths_mm", "source")  # fmt: skip
