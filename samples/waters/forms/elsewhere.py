"""Words typed for figures from elsewhere: percent on the page, shares of 1 behind it."""

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
NO_CHOICE = "Choose one from the list."


def counted(label: str, *, least: int = 0, **kwargs: Any) -> TypedNumber:
    """Make a field for a number of things, in which a comma only parts the thousands."""
    return TypedNumber(
        label=label,
        min_value=least,
        max_value=MOST_COUNTED,
        error_messages={
            "min_value": f"Enter a number of {least} or more.",
            "max_value": "This number has too many digits. Check it.",
        },
        **kwargs,
    )


# What the three parts of a range are called on the page.
RANGE_WORDS = {"least": "low", "middle": "best estimate", "most": "high"}


class FigureForm(UnitForm):
    """What every figure says: of which fish, from which source, and of when it is."""

    species = forms.ModelChoiceField(
        Species.objects.none(),
        label="Species",
        empty_label="Choose one",
        error_messages={
            "required": "Choose a species.",
            "invalid_choice": NO_CHOICE,
        },
    )
    source = forms.CharField(
        label="Source",
        max_length=300,
        help_text="Report, paper or survey, with its year",
        error_messages={"required": "Enter the report, paper or survey."},
    )
    as_of = PlainDate(
        label="As of",
        needed="Enter a date, such as April 18, 2026.",
        help_text="Date of the estimate; for a whole year, its last day",
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
        error_messages={"required": "Choose a season.", "invalid_choice": NO_CHOICE},
    )

    def __init__(self, *args: Any, seasons: list[Season], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer(
            "season", Season.objects.filter(pk__in=[one.pk for one in seasons]), "-starts_on"
        )


class NaturalDeathForm(ArmForm):
    """How many die of natural causes, as percent in a year or as a rate."""

    PERCENT, RATE = "percent", "rate"

    given_as = forms.ChoiceField(
        label="Enter as",
        choices=[(PERCENT, "Percent per year"), (RATE, "M (instantaneous, per year)")],
        widget=forms.RadioSelect,
        initial=PERCENT,
        help_text="30% per year is M = 0.36",
        error_messages={
            "required": "Choose percent or M.",
            "invalid_choice": "Choose percent or M.",
        },
    )
    least = forms.CharField(
        label="Low", max_length=12, help_text="Percent, such as 24; or M, such as 0.28"
    )
    middle = forms.CharField(label="Best estimate", max_length=12)
    most = forms.CharField(label="High", max_length=12)
    oldest_years = TypedNumber(
        label="Maximum age (tmax) in a lightly fished population, years",
        required=False,
        min_value=1,
        max_value=OLDEST_KNOWN_YEARS,
        help_text="Maximum age in a fished lake overestimates M",
        error_messages={
            "min_value": "Enter 1 year or more, or leave it empty.",
            "max_value": f"Enter {OLDEST_KNOWN_YEARS} years or fewer.",
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
            field.error_messages["required"] = f"Enter the {RANGE_WORDS[name]}, such as 24."
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
                    f"Enter percent, not a share: {percent_text(number)} if you mean "
                    f"{number.normalize()}. To enter M, choose it above.",
                )
            return share_of_percent(number)
        except Unwritable as problem:
            raise forms.ValidationError(str(problem), code=problem.code) from problem

    def clean(self) -> None:
        super().clean()
        self.cleaned_data.pop("given_as", None)


class ReleaseDeathForm(FigureForm):
    """How many released fish die of it, in percent."""

    when = forms.CharField(
        label="Season and depth",
        max_length=120,
        required=False,
        help_text="Such as spring, less than 15 ft deep",
    )
    least = ShareField(label="Low", needed="Enter the low, such as 5.")
    middle = ShareField(label="Best estimate", needed="Enter the best estimate, such as 10.")
    most = ShareField(label="High", needed="Enter the high, such as 20.")
    field_order = ("species", "when", "least", "middle", "most", "source")


class TagReturnsForm(PlacedForm):
    """Tags out and back in a season, and what keeps tags from coming back."""

    tags_out = counted(
        "Fish tagged", least=1, needed="Enter the number of fish tagged, such as 200."
    )
    returned = counted(
        "Tags returned, fish harvested",
        needed="Enter the tags returned from harvested fish, such as 24.",
        help_text="Within one year of tagging",
    )
    returned_released = counted(
        "Tags returned, fish released",
        required=False,
        help_text="Reported by anglers who released the fish; 0 if none",
    )
    high_reward_out = counted(
        "High-reward tags released",
        least=1,
        required=False,
        help_text="They estimate the reporting rate; leave empty if none",
    )
    high_reward_returned = counted(
        "High-reward tags returned",
        required=False,
        help_text="From harvested and released fish together",
    )
    reporting_least = ShareField(
        label="Reporting rate, low",
        above_one=True,
        needed="Enter the lowest likely reporting rate in percent, such as 60.",
        help_text="Percent of tags caught that anglers report",
    )
    reporting_most = ShareField(
        label="Reporting rate, high",
        above_one=True,
        needed="Enter the highest likely reporting rate in percent, such as 90.",
    )
    tags_kept = ShareField(
        label="Tag retention after one year",
        above_one=True,
        needed="Enter tag retention in percent, such as 95; 100 if no tag was lost.",
        help_text="Percent of fish that keep their tag; 100 if no tag loss",
    )
    survived_tagging = ShareField(
        label="Survival of tagging",
        above_one=True,
        needed="Enter survival of tagging in percent, such as 97; 100 if none died.",
        help_text="Percent of tagged fish that survive tagging; 100 if all",
    )
    field_order = ("season", "species", "arm", "tags_out", "returned", "returned_released",
                   "high_reward_out", "high_reward_returned", "reporting_least",
                   "reporting_most", "tags_kept", "survived_tagging", "source")  # fmt: skip

    def clean_returned_released(self) -> int:
        return self.cleaned_data["returned_released"] or 0


class CreelForm(PlacedForm):
    """What a creel survey found; whatever it did not ask stays empty."""

    lengths = ("smallest_kept_hundredths_mm",)

    angler_hours = counted("Angler-hours", required=False, help_text="Total effort, all anglers")
    caught = counted("Fish caught", required=False, help_text="Harvested and released together")
    released = ShareField(label="Released", required=False)
    smallest_kept_hundredths_mm = LengthField(
        label="Smallest length anglers keep",
        required=False,
        help_text="Total length above which most fish are kept",
    )
    field_order = ("season", "species", "arm", "angler_hours", "caught", "released",
                   "smallest_kept_hundredths_mm", "source")  # fmt: skip
