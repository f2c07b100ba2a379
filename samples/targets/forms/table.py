"""Which targets are edited, and how many are wanted, bin by bin."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.forms import BoundField, ChoiceField

from samples.form_parts import PlainForm, TypedNumber, plain
from samples.models import Arm, Lake
from samples.targets.forms.filters import LengthFilters
from samples.targets.rules import Key, LengthBin

MOST_WANTED = 999


class TargetRange(LengthFilters):
    """Which targets are edited: a species, a season, and from which length to which."""

    species = ChoiceField(label="Species")
    season = ChoiceField(label="Season")

    def usual_values(self) -> dict[str, str]:
        season, species = self.options.first_season, self.options.species_coded("")
        return {
            "species": species.species.code if species else "",
            "season": season.name if season else "",
        }

    def choices(self) -> dict[str, list[tuple[str, str]]]:
        return {
            "species": [(one.species.code, one.species.name) for one in self.options.lake_species],
            "season": [(one.name, one.name) for one in self.options.seasons],
        }


@dataclass(frozen=True, slots=True)
class TargetBox:
    """One box of the table; ``was`` is what is saved where the box shows another number."""

    field: BoundField
    was: str


@dataclass(frozen=True, slots=True)
class BinRow:
    """One bin as it is drawn: the box for the lake, then one for each arm."""

    column: LengthBin
    boxes: list[TargetBox]


class TargetsTable(PlainForm):
    """How many are wanted, bin by bin: lake-wide, and at least from each arm."""

    def __init__(
        self,
        *args: Any,
        lake: Lake,
        arms: list[Arm],
        columns: list[LengthBin],
        wanted: Mapping[Key, int],
        saved: Mapping[Key, int] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.lake, self.arms, self.columns = lake, arms, columns
        self.filled_in, self.saved = wanted, wanted if saved is None else saved
        self.keys: dict[str, Key] = {}
        for column in columns:
            for arm in [None, *arms]:
                self._add(column, arm, wanted)

    def _add(self, column: LengthBin, arm: Arm | None, wanted: Mapping[Key, int]) -> None:
        name = field_name(column, arm)
        key = (arm.pk if arm else None, column.from_hundredths)
        where = f"{column.name}, {arm.name if arm else 'lake-wide'}"
        self.keys[name] = key
        field = TypedNumber(
            label=where,
            required=False,
            min_value=0,
            max_value=MOST_WANTED,
            unreadable=f"{where}: enter a whole number, or leave it empty.",
        )
        for code in ("min_value", "max_value"):
            field.error_messages[code] = f"{plain(where)}: enter a number from 0 to {MOST_WANTED}."
        field.initial = wanted.get(key) or None
        self.fields[name] = field

    @property
    def rows(self) -> list[BinRow]:
        return [
            BinRow(column, [self._box(column, arm) for arm in [None, *self.arms]])
            for column in self.columns
        ]

    def _box(self, column: LengthBin, arm: Arm | None) -> TargetBox:
        name = field_name(column, arm)
        before, now = (found.get(self.keys[name], 0) for found in (self.saved, self.filled_in))
        return TargetBox(self[name], "" if before == now else f"was {before or 'none'}")

    @property
    def changes(self) -> int:
        """Return how many boxes show another number than is saved."""
        return sum(bool(box.was) for row in self.rows for box in row.boxes)

    def clean(self) -> None:
        for column in self.columns:
            lake_wide = self.cleaned_data.get(field_name(column, None))
            floors = [self.cleaned_data.get(field_name(column, arm)) or 0 for arm in self.arms]
            if lake_wide and sum(floors) > lake_wide:
                self.add_problem(
                    field_name(column, None),
                    f"{column.name}: arm minimums add up to {sum(floors)}. Raise the lake target "
                    "or lower a minimum.",
                    code="floors_above_lake",
                )

    def wanted(self) -> dict[Key, int | None]:
        """Return what was typed; a box that was not on the page that was sent says nothing."""
        return {
            key: self.cleaned_data[name] for name, key in self.keys.items() if name in self.data
        }


def field_name(column: LengthBin, arm: Arm | None) -> str:
    return f"wanted-{column.from_hundredths}-{arm.pk if arm else 'lake'}"


class PartsTable(TargetsTable):
    """What nets, or one sex, are to bring of each target: never more than the target itself.

    ``targets`` are the targets of all fish, ``other_sex`` what the other sex is to bring.
    """

    def __init__(
        self,
        *args: Any,
        targets: Mapping[Key, int],
        other_sex: Mapping[Key, int],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.targets, self.other_sex = targets, other_sex

    def clean(self) -> None:
        for name, key in self.keys.items():
            n, target = self.cleaned_data.get(name) or 0, self.targets.get(key, 0)
            place = plain(self.fields[name].label)
            if n and not target:
                self.add_problem(
                    name, f"{place}: no target. Set one under All fish first.", code="no_target"
                )
            elif n > target:
                self.add_problem(
                    name,
                    f"{place}: the target is {target}. Enter {target} or fewer.",
                    code="above_target",
                )
            elif n and n + (other := self.other_sex.get(key, 0)) > target:
                self.add_problem(
                    name,
                    f"{place}: the target is {target}, {other} of the other sex. "
                    f"Enter {max(0, target - other)} or fewer.",
                    code="sexes_above_target",
                )
