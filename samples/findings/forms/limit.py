"""What is asked about a length limit: the limits, other rules, and the lines of the verdict."""

from dataclasses import replace
from decimal import Decimal

from django import forms
from django.forms import BoundField
from django.utils.datastructures import MultiValueDict

from samples.findings.forms.choice import ChoiceForm
from samples.findings.limits import LimitSelection
from samples.findings.queries import FindingsOptions, FindingsSelection
from samples.form_parts import LengthField, TypedNumber, plain
from samples.science.length_limit.verdict import Lines
from samples.science.size_structure import LENGTHS
from samples.units import LengthUnit, to_text

# A death rate wants three seasons; limits on small fish go by the inch.
MOST_SEASONS = 3
SMALL_FISH_IN, SMALL_FISH_MM = 12, 300


def _share(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        min_value=1,
        max_value=99,
        error_messages={
            "invalid": f"{plain(label)}: enter a number from 1 to 99.",
            "min_value": f"{plain(label)}: enter a number from 1 to 99.",
            "max_value": f"{plain(label)}: enter a number from 1 to 99.",
        },
    )


def _years(label: str) -> forms.DecimalField:
    words = f"{plain(label)}: enter years, from 0.5 to 10."
    return forms.DecimalField(
        label=label,
        min_value=Decimal("0.5"),
        max_value=10,
        error_messages={"invalid": words, "min_value": words, "max_value": words},
    )


class LimitForm(ChoiceForm):
    """The same with up to three limits, other rules, and the lines between the verdicts."""

    limit_1 = LengthField(label="Limit")
    limit_2 = LengthField(label="Compare with", required=False)
    limit_3 = LengthField(label="and with", required=False)
    slot_from = LengthField(label="Protected slot from", required=False)
    slot_below = LengthField(label="Protected slot up to", required=False)
    one_over = LengthField(label="One fish per day over", required=False)
    creel_limit = TypedNumber(
        label="Daily limit, fish per angler",
        required=False,
        min_value=1,
        max_value=200,
        error_messages={
            "min_value": "Enter a number of fish, such as 15.",
            "max_value": "Enter 200 or fewer, such as 15.",
        },
    )
    kept_a_trip = forms.DecimalField(
        label="Fish kept per angler trip now (creel survey)",
        required=False,
        min_value=Decimal("0.01"),
        max_value=200,
        error_messages={
            "invalid": "Enter a mean number of fish, such as 4.2.",
            "min_value": "Enter a number above 0, such as 4.2.",
            "max_value": "Enter 200 or fewer, such as 4.2.",
        },
    )
    kept_without = LengthField(
        label="Without a limit, anglers would keep fish from", required=False
    )
    release = forms.ChoiceField(label="Hooking mortality as in", required=False)
    caught_below = forms.DecimalField(
        label="Catch rate of short fish, times that of longer ones",
        min_value=0,
        max_value=5,
        error_messages={
            "invalid": "Enter a number, such as 0.5.",
            "min_value": "Enter a number from 0 to 5.",
            "max_value": "Enter a number from 0 to 5.",
        },
    )
    fewest_aged = TypedNumber(
        label="Aged fish needed for a verdict",
        min_value=10,
        max_value=1000,
        error_messages={
            "min_value": "Enter 10 or more: a growth curve needs 10 fish.",
            "max_value": "Enter 1000 or fewer.",
        },
    )
    little_change = _share("Little effect: no change above, %")
    long_years = _years("Slow growth: more years to the limit than")
    few_reach = _share("Slow growth: fewer fish ever reach the limit than, %")
    few_live = _share("High natural mortality: fewer survive to the limit than, %")
    many_taken = _share("High harvest: more are harvested before the limit than, %")
    agree = _share("Probability needed for a verdict, %")
    shares = ("little_change", "few_reach", "few_live", "many_taken", "agree")
    lines = ("little_change", "long_years", "few_reach", "few_live", "many_taken", "agree")
    limits = ("limit_1", "limit_2", "limit_3")
    lengths = (*limits, "slot_from", "slot_below", "one_over", "kept_without")
    others = ("slot_from", "slot_below", "one_over", "creel_limit", "kept_a_trip", "kept_without")

    def __init__(
        self,
        data: MultiValueDict[str, str],
        options: FindingsOptions,
        release: list[tuple[str, str]],
    ) -> None:
        super().__init__(data, options)
        for name in self.lengths:
            field = self.fields[name]
            assert isinstance(field, LengthField)  # noqa: S101  # for the type checker
            field.unit = options.unit
            field.error_messages["required"] = "Enter the length limit, such as 10.0."
        field = self.fields["release"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
        field.choices = [("", "Season when most fish are caught"), *release]

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
            "fewest_aged": [str(LimitSelection().fewest_aged)],
            "long_years": [f"{lines.long_years:g}"],
            **{name: [f"{100 * getattr(lines, name):g}"] for name in self.shares},
        }

    @property
    def first_asked(self) -> list[BoundField]:
        return [self[name] for name in self.limits]

    @property
    def rules(self) -> list[BoundField]:
        names = (*self.others, "release", "caught_below", "fewest_aged", *self.lines)
        return [self[name] for name in names]

    def _limits(self, code: str) -> list[str]:
        """Return the preferred length of Gabelhouse (1984) and a step to either side."""
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
        for name in self.lengths:
            limit = self.cleaned_data.get(name)
            for one in chosen:
                most = one.species_here.plausible_max_hundredths_mm
                if limit and not 0 < limit.hundredths_mm <= most:
                    longest = f"{to_text(most, self.options.unit)} {self.options.unit.value}"
                    self.add_error(
                        name, f"No {one.species.name.lower()} is longer than {longest}. Enter less."
                    )

        self._clean_slot()

    def _clean_slot(self) -> None:
        """Ask for both ends of a slot, in order."""
        start, end = (self.cleaned_data.get(name) for name in ("slot_from", "slot_below"))
        if start and "slot_below" not in self.errors and not end:
            self.add_error(
                "slot_below", "Enter where the protected slot ends, longer than its start."
            )
        if end and "slot_from" not in self.errors and not start:
            self.add_error("slot_from", "Enter where the protected slot starts.")
        if start and end and start.hundredths_mm >= end.hundredths_mm:
            self.add_error("slot_below", "The slot ends before it starts. Enter a longer length.")

    def choice(self) -> FindingsSelection | None:
        chosen = super().choice()
        if chosen is None:
            return None
        words = self.cleaned_data
        mm = {
            name: words[name].hundredths_mm / 100 if words[name] else 0.0 for name in self.lengths
        }
        limit = LimitSelection(
            limits_mm=tuple(dict.fromkeys(mm[name] for name in self.limits if mm[name])),
            lines=Lines(
                long_years=float(words["long_years"]),
                **{name: float(words[name]) / 100 for name in self.shares},
            ),
            release=words["release"],
            caught_below=float(words["caught_below"]),
            fewest_aged=words["fewest_aged"],
            slot_mm=(mm["slot_from"], mm["slot_below"]) if mm["slot_from"] else None,
            over_mm=mm["one_over"],
            creel_limit=words["creel_limit"],
            kept_a_trip=float(words["kept_a_trip"]) if words["kept_a_trip"] else None,
            kept_without_mm=mm["kept_without"],
        )
        return replace(chosen, limit=limit)
