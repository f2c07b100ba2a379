"""Words typed where labels are made, printed again and made void."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from samples.form_parts import PlainForm, RequestIdField, TypedNumber, VialNumberField
from samples.models import Lake, LakeStock, PartSheet, Season
from samples.vials import queries, rules, services
from samples.vials.geometry import (
    CannotPrint,
    Filling,
    Label,
    LabelStock,
    place,
    positions_before,
    positions_in_order,
)

ACROSS, DOWN = "across", "down"


class PlannedForm(PlainForm):
    """A label stock, and where on its sheets to begin.

    What is left of a sheet is offered first; a blank position is the first one that is free.
    """

    stock = forms.ChoiceField(
        label="Label stock, by size",
        error_messages={"invalid_choice": "Choose a label stock from the list."},
    )
    sheet = forms.ChoiceField(label="Sheet", required=False)
    first_position = TypedNumber(
        label="Start at position",
        required=False,
        help_text="Count along each row from 1, or point at the sheet",
        unreadable="Enter the position as a whole number, such as 23.",
    )
    order = forms.ChoiceField(
        label="Fill sheets",
        required=False,
        choices=[(ACROSS, "Across, row by row"), (DOWN, "Down, column by column")],
    )
    twins = forms.BooleanField(label="Print each label twice, side by side", required=False)
    request_id = RequestIdField()

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lake = lake
        self.stocks = queries.stocks_at(lake)
        own = [(code, one.description) for code, one in self.stocks.items() if is_own(code)]
        common = [(code, one.description) for code, one in self.stocks.items() if not is_own(code)]
        groups = [("Measured here", own), ("Common sizes", common)]
        choices = groups if own else common
        self.fields["stock"].choices = choices  # type: ignore[attr-defined]
        # Left alone, they are what the page offers.
        for name in ("sheet", "first_position", "order"):
            self.fields[name].fills_itself = True  # type: ignore[attr-defined]
        self.chosen = self._chosen_stock()
        self.part_sheet = queries.part_sheet(lake, self.chosen)
        self.fields["sheet"].choices = self._sheets()  # type: ignore[attr-defined]
        self.fields["sheet"].error_messages["invalid_choice"] = (
            "Somebody printed on the part-used sheet since you opened this page. "
            "Check the preview, then print."
        )
        if not self.is_bound and self.part_sheet:
            self.initial["sheet"] = _sheet_code(self.part_sheet)
        if not self.is_bound:
            self.initial.setdefault("first_position", self._first_free(bool(self.part_sheet)))

    def _chosen_stock(self) -> LabelStock:
        code = self.data.get("stock", "") if self.is_bound else self.initial.get("stock", "")
        return self.stocks.get(code) or self.stocks[queries.last_stock(self.lake)]

    def _sheets(self) -> list[tuple[str, str]]:
        if self.part_sheet is None:
            return [("", "New sheet")]
        left = self.chosen.per_page - len(self.part_sheet.used)
        many = "1 position" if left == 1 else f"{left} positions"
        return [(_sheet_code(self.part_sheet), f"Part-used, {many} left"), ("", "New sheet")]

    def clean_sheet(self) -> int | None:
        """Return the version of the part-used sheet, or nothing for a new one."""
        return _version_in(self.cleaned_data["sheet"])

    def clean(self) -> dict[str, Any]:
        cleaned_data: dict[str, Any] = super().clean() or self.cleaned_data
        if "stock" not in cleaned_data or {"first_position", "sheet"} & set(self.errors):
            return cleaned_data
        if cleaned_data["first_position"] is None:
            goes_on = cleaned_data["sheet"] is not None
            cleaned_data["first_position"] = self._first_free(goes_on, self.runs_down())
            # What is shown in the field is where the labels begin.
            self.data = {**self.data, "first_position": str(cleaned_data["first_position"])}
        try:
            filling = self.filling()
            place(self.chosen, 1, cleaned_data["first_position"], filling=filling)
        except CannotPrint as problem:
            self.add_problem("first_position", str(problem), code=problem.code)
        return cleaned_data

    @property
    def words(self) -> dict[str, Any]:
        """Return what is chosen: what was typed, or what a fresh page offers."""
        return self.cleaned_data if self.is_bound else dict(self.initial)

    def is_complete(self) -> bool:
        """Return whether the labels can be looked at."""
        return self.is_valid() if self.is_bound else True

    def asked(self) -> dict[str, Any]:
        """Return what the pictures of the sheets are asked for by."""
        words = self.words
        version = _version_in(words.get("sheet"))
        return {
            "stock": self.chosen.code,
            "sheet": "" if version is None else f"part-{version}",
            "first_position": words["first_position"],
            "order": DOWN if self.runs_down() else ACROSS,
            **({"twins": "on"} if words.get("twins") else {}),
        }

    def labels(self) -> Sequence[Label]:
        """Return the labels in their order."""
        raise NotImplementedError

    def runs_down(self) -> bool:
        return bool(self.words.get("order") == DOWN)

    def filling(self) -> Filling:
        """Return how the sheets are filled as it is chosen.

        :raises OffTheSheet: if the sheet has no such position
        """
        words = self.words
        goes_on = _version_in(words.get("sheet")) is not None
        if goes_on and self.part_sheet:
            used = frozenset(self.part_sheet.used)
        else:
            first = words["first_position"]
            used = positions_before(self.chosen, first, runs_down=self.runs_down())
        return Filling(used, runs_down=self.runs_down(), twins=bool(words.get("twins")))

    def start(self) -> services.SheetStart:
        """Return where to begin, as the services are asked."""
        words = self.cleaned_data
        return services.SheetStart(
            words["first_position"],
            words["sheet"],
            runs_down=self.runs_down(),
            twins=words["twins"],
        )

    def _first_free(self, goes_on: bool, runs_down: bool = False) -> int:
        used = self.part_sheet.used if goes_on and self.part_sheet else []
        order = positions_in_order(self.chosen, runs_down=runs_down)
        return next((position for position in order if position not in used), 1)


def is_own(code: str) -> bool:
    """Return whether a stock is one of a lake's own."""
    return code.startswith(LakeStock.OWN)


def _sheet_code(sheet: PartSheet) -> str:
    return f"part-{sheet.version}"


def _version_in(code: object) -> int | None:
    if isinstance(code, int):
        return code
    text = str(code or "").removeprefix("part-")
    return int(text) if text.isdecimal() else None


class MakeLabels(PlannedForm):
    """A new run of labels."""

    season = forms.ModelChoiceField(
        label="Season",
        queryset=Season.objects.none(),
        empty_label=None,
        error_messages={
            "required": "Choose a season.",
            "invalid_choice": "Choose a season from the list.",
        },
    )
    count = TypedNumber(
        label="How many",
        needed="Enter the number of labels, such as 120.",
        unreadable="Enter a whole number of labels, such as 120.",
    )

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, lake=lake, **kwargs)
        seasons = Season.objects.filter(lake=lake).select_related("lake")
        self.fields["season"].queryset = seasons.order_by("-starts_on")  # type: ignore[attr-defined]
        self.fields["count"].unit_words = "labels"  # type: ignore[attr-defined]

    def asked(self) -> dict[str, Any]:
        season, count = self.words["season"], self.words["count"]
        return super().asked() | {"season": season.pk, "count": count}

    def labels(self) -> Sequence[Label]:
        return queries.labels_to_come(self.words["season"], self.words["count"])

    def clean_count(self) -> int:
        count: int = self.cleaned_data["count"]
        if not 1 <= count <= services.MOST_LABELS:
            raise ValidationError(
                f"Enter how many labels: 1 to {services.MOST_LABELS:,} at a time.",
                code="too_many",
            )
        return count


class Reprint(PlannedForm):
    """Numbers that were printed before, to be printed once more."""

    season = forms.ModelChoiceField(
        label="Season",
        queryset=Season.objects.none(),
        empty_label=None,
        error_messages={
            "required": "Choose a season.",
            "invalid_choice": "Choose a season from the list.",
        },
    )
    numbers = forms.CharField(
        label="Numbers",
        max_length=2_000,
        help_text="Such as 12-20, 25, or a whole number",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Enter the numbers to print, such as 12-20, 25."},
    )

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, lake=lake, **kwargs)
        seasons = Season.objects.filter(lake=lake, label_runs__isnull=False).select_related("lake")
        self.fields["season"].queryset = seasons.distinct().order_by("-starts_on")  # type: ignore[attr-defined]

    def is_complete(self) -> bool:
        return self.is_bound and self.is_valid()

    def asked(self) -> dict[str, Any]:
        season, numbers = self.words["season"], self.words["numbers"]
        return super().asked() | {"season": season.pk, "numbers": numbers}

    def labels(self) -> Sequence[Label]:
        year = self.words["season"].number_year
        return list(queries.labels_in(self.lake, year, self.words["ranges"]))

    def clean(self) -> dict[str, Any]:
        cleaned_data = super().clean()
        if "season" not in cleaned_data or "numbers" not in cleaned_data:
            return cleaned_data
        year = queries.numbered_year(cleaned_data["season"].number_year)
        try:
            cleaned_data["ranges"] = rules.parse_numbers(cleaned_data["numbers"], year)
            services.check_printed(self.lake, year, cleaned_data["ranges"])
        except rules.NumbersRefused as problem:
            self.add_problem("numbers", problem.sentence, code=problem.code)
        except services.CannotReprint as problem:
            self.add_problem(problem.field, str(problem), code=problem.code)
        return cleaned_data


class NumberWidth(PlainForm):
    """How many digits the numbers of a year have between year and check digit."""

    digits = forms.TypedChoiceField(
        label="Digits",
        coerce=int,
        choices=[
            (4, "4: up to 9,999 vials a year"),
            (5, "5: up to 99,999 vials a year"),
            (6, "6: up to 999,999 vials a year"),
        ],
        error_messages={"invalid_choice": "Choose 4, 5 or 6 digits."},
    )


class VoidNumbers(PlainForm):
    """Spoiled labels, whose numbers shall never be used."""

    void_first = VialNumberField(label="From number")
    void_last = VialNumberField(label="To number")
    note = forms.CharField(
        label="Reason",
        max_length=300,
        error_messages={"required": "Enter why, such as label torn or printer jammed."},
    )
