"""Targets by rule: so many a bin, from one length to another, in every arm."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from samples.form_parts import LengthField, PlainForm
from samples.models import Arm, LakeSpecies
from samples.targets.queries.choice import width_text
from samples.targets.rules import TargetRule, Where
from samples.units import LengthUnit, Measured, to_text

ROWS = 4
MOST_WANTED = 999
ALL = "all"
EXAMPLE = f"Enter a number from 0 to {MOST_WANTED}, such as 8, or {ALL}."


class FishOfBin(forms.CharField):
    """A number of fish, or "all"."""

    def clean(self, value: Any) -> int | str | None:
        text = str(super().clean(value)).strip().lower()
        if not text:
            return None
        if text == ALL:
            return ALL
        if not text.isdecimal() or int(text) > MOST_WANTED:
            raise forms.ValidationError(EXAMPLE, code="not_so_many_fish")
        return int(text)


@dataclass(frozen=True, slots=True)
class RuleRow:
    """The fields of one rule, as they are drawn in a line."""

    number: int
    fields: list[BoundField]


class RulesForm(PlainForm):
    """A few rules, a line each; a line without a number of fish says nothing."""

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        *,
        arms: list[Arm],
        lake_species: LakeSpecies,
        unit: LengthUnit,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.arms, self.unit = arms, unit
        self.width = lake_species.bin_width_hundredths_mm
        species = lake_species.species_here
        self.species = species.name
        self.least = species.plausible_min_hundredths_mm // self.width * self.width
        self.most = -(-species.plausible_max_hundredths_mm // self.width) * self.width
        places = [
            (Where.ARMS, "Every arm"),
            (Where.LAKE, "Lake target"),
            *((str(arm.pk), arm.name) for arm in arms),
        ]
        for row in range(ROWS):
            label = f"Rule {row + 1}"
            self.fields[f"fish-{row}"] = FishOfBin(
                label=f"{label}: fish a bin", required=False, max_length=10
            )
            for name, words in (("from", "from"), ("below", "below")):
                self.fields[f"{name}-{row}"] = LengthField(
                    unit=unit, label=f"{label}: {words}", required=False
                )
            self.fields[f"where-{row}"] = forms.ChoiceField(
                label=f"{label}: where", choices=places, required=False
            )

    @property
    def rows(self) -> list[RuleRow]:
        return [
            RuleRow(row + 1, [self[f"{name}-{row}"] for name in ("fish", "from", "below", "where")])
            for row in range(ROWS)
        ]

    @property
    def example(self) -> tuple[str, str]:
        """Return lengths to show how a rule is typed: a third and two thirds up the range."""
        third = (self.most - self.least) // (3 * self.width) * self.width
        lower, below = self.least + third, self.least + 2 * third
        return to_text(lower, self.unit), self._text(below)

    def clean(self) -> None:
        made: dict[int, TargetRule] = {}
        for row in range(ROWS):
            rule = self._rule(row)
            if rule is None:
                continue
            for other, earlier in made.items():
                if rule.overlaps(earlier):
                    self._overlap(row, other, earlier)
                    break
            else:
                made[row] = rule
        self.made = list(made.values())
        if not self.made and not self.errors:
            self.add_problem("fish-0", EXAMPLE, code="no_rule")

    def _rule(self, row: int) -> TargetRule | None:
        """Return the rule of a line; none where it is empty or has something wrong."""
        if any(f"{name}-{row}" in self.errors for name in ("fish", "from", "below")):
            return None
        fish = self.cleaned_data.get(f"fish-{row}")
        lower, below = (self.cleaned_data.get(f"{name}-{row}") for name in ("from", "below"))
        if fish is None:
            if lower or below:
                self.add_problem(f"fish-{row}", EXAMPLE, code="fish_missing")
            return None
        fits = [self._is_edge(f"from-{row}", lower), self._is_edge(f"below-{row}", below)]
        if not all(fits):
            return None
        begins = lower.hundredths_mm if lower else self.least
        ends = below.hundredths_mm if below else None
        if ends is not None and ends <= begins:
            self.add_problem(
                f"below-{row}",
                f"Enter a length above {self._text(begins)}, such as "
                f"{self._text(begins + self.width)}.",
                code="not_above_from",
            )
            return None
        where = self.cleaned_data.get(f"where-{row}") or Where.ARMS
        arm = int(where) if where.isdecimal() else None
        return TargetRule(
            None if fish == ALL else fish,
            begins,
            ends,
            Where.LAKE if where == Where.LAKE else Where.ARMS,
            arm,
        )

    def _is_edge(self, name: str, length: Measured | None) -> bool:
        """Return whether a length is one at which a bin begins, of a plausible fish."""
        if length is None:
            return True
        if not self.least <= length.hundredths_mm <= self.most:
            self.add_problem(
                name,
                f"{self.species} here are {self._text(self.least)} to {self._text(self.most)}. "
                "Enter a length in that range.",
                code="not_plausible",
            )
            return False
        if over := length.hundredths_mm % self.width:
            lower = length.hundredths_mm - over
            self.add_problem(
                name,
                f"Bins are {width_text(self.width, self.unit)} wide. Enter {self._text(lower)} "
                f"or {self._text(lower + self.width)}.",
                code="not_a_bin",
            )
            return False
        return True

    def _overlap(self, row: int, other: int, earlier: TargetRule) -> None:
        ends = f"to {self._text(earlier.below)}" if earlier.below else "and up"
        start = f" Start at {self._text(earlier.below)}." if earlier.below else ""
        self.add_problem(
            f"from-{row}",
            f"Overlaps rule {other + 1} ({self._text(earlier.lower)} {ends}).{start}",
            code="rules_overlap",
        )

    def _text(self, hundredths: int) -> str:
        return f"{to_text(hundredths, self.unit)} {self.unit}"

    def description(self) -> str:
        """Return the rules in words, for example "8 a bin from 7.0 to 13.0 in in every arm"."""
        names = {arm.pk: arm.name for arm in self.arms}
        return "; ".join(self._words(rule, names) for rule in self.made)

    def _words(self, rule: TargetRule, names: Mapping[int, str]) -> str:
        fish = "all fish" if rule.fish is None else f"{rule.fish} a bin"
        if rule.below is None:
            lengths = f"from {self._text(rule.lower)} up"
        else:
            lengths = f"from {to_text(rule.lower, self.unit)} to {self._text(rule.below)}"
        if rule.where is Where.LAKE:
            where = "lake-wide"
        else:
            where = "in every arm" if rule.arm is None else f"in {names[rule.arm]}"
        return f"{fish} {lengths} {where}"


def has_rules(data: Mapping[str, Any]) -> bool:
    """Return whether somebody sent rules."""
    return any(f"fish-{row}" in data for row in range(ROWS))
