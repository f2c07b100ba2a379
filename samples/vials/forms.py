"""Words typed on the pages of labels and vials."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from samples.form_parts import PlainForm, TypedNumber, VialNumberField, refuse_foreign_link
from samples.models import Lake, Season, User, Vial
from samples.rules import vial_number
from samples.vials import queries, services
from samples.vials.geometry import STOCKS, CannotPrint, Nudge, place

STOCK_CHOICES = [(stock.code, stock.description) for stock in STOCKS.values()]
_TENTHS = re.compile(r"([+-]?)(\d{0,3})(?:\.(\d))?0*")


class TypedTenths(forms.CharField):
    """A number with one decimal, kept in whole tenths; its unit may be typed beside it."""

    def __init__(self, *, unit: str, least: int, most: int, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"autocomplete": "off", "inputmode": "text"})
        )
        super().__init__(**kwargs)
        self.unit = self.unit_words = unit
        self.least, self.most = least, most
        self.error_messages["required"] = f"{self.label}: enter 0 for no offset."

    def clean(self, value: Any) -> int:
        text: str = super().clean(value)
        plain = text.replace(",", ".").replace("\u2212", "-").removesuffix(self.unit)
        read = _TENTHS.fullmatch(plain.replace(" ", ""))
        if read is None or not (read[2] or read[3]):
            raise ValidationError(
                f"{self.label}: enter a number with one decimal, such as "
                f"{(self.least + self.most) / 20 + 0.3:.1f}.",
                code="no_tenth",
            )
        tenths = int(read[2] or 0) * 10 + int(read[3] or 0)
        tenths = -tenths if read[1] == "-" else tenths
        if not self.least <= tenths <= self.most:
            raise ValidationError(
                f"{self.label}: enter from {self.least / 10:.1f} to "
                f"{self.most / 10:.1f} {self.unit}.",
                code="out_of_range",
            )
        return tenths


class StockForm(PlainForm):
    """A label stock, and the first place to print on."""

    stock = forms.ChoiceField(
        label="Label stock, by size",
        choices=STOCK_CHOICES,
        error_messages={"invalid_choice": "Choose a label stock from the list."},
    )
    first_position = TypedNumber(
        label="Start at position",
        help_text="Count along each row, from 1",
        needed="Enter the first position, such as 1 for a full sheet.",
        unreadable="Enter the position as a whole number, such as 23.",
    )

    def clean(self) -> dict[str, Any]:
        cleaned_data: dict[str, Any] = super().clean() or self.cleaned_data
        if "stock" in cleaned_data and "first_position" in cleaned_data:
            try:
                place(STOCKS[cleaned_data["stock"]], 1, cleaned_data["first_position"])
            except CannotPrint as problem:
                self.add_problem("first_position", str(problem), code=problem.code)
        return cleaned_data


class MakeLabels(StockForm):
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
    request_id = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages={
            "required": "This page is out of date. Reload the label page.",
            "invalid": "This page is out of date. Reload the label page.",
        },
    )

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        seasons = Season.objects.filter(lake=lake).select_related("lake")
        self.fields["season"].queryset = seasons.order_by("-starts_on")  # type: ignore[attr-defined]
        self.fields["count"].unit_words = "labels"  # type: ignore[attr-defined]

    def clean_count(self) -> int:
        count: int = self.cleaned_data["count"]
        if not 1 <= count <= services.MOST_LABELS:
            raise ValidationError(
                f"Enter how many labels: 1 to {services.MOST_LABELS:,} at a time.",
                code="too_many",
            )
        return count


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


class PrinterNudge(PlainForm):
    """How far one printer is off on one stock."""

    right = TypedTenths(label="Move right", unit="mm", least=-100, most=100)
    down = TypedTenths(label="Move down", unit="mm", least=-100, most=100)
    across = TypedTenths(
        label="Stretch across",
        unit="%",
        least=900,
        most=1100,
        help_text="100.5 if the 100 mm ruler measures 99.5 mm",
    )
    along = TypedTenths(label="Stretch down", unit="%", least=900, most=1100)

    @staticmethod
    def words_of(nudge: Nudge) -> dict[str, str]:
        """Write a nudge as it is typed."""
        return {
            "right": f"{nudge.right_mm:.1f}",
            "down": f"{nudge.down_mm:.1f}",
            "across": f"{nudge.scale_across * 100:.1f}",
            "along": f"{nudge.scale_down * 100:.1f}",
        }

    def nudge(self) -> Nudge:
        """Return what was typed as a nudge."""
        cleaned_data = self.cleaned_data
        return Nudge(
            right_mm=cleaned_data["right"] / 10,
            down_mm=cleaned_data["down"] / 10,
            scale_across=cleaned_data["across"] / 1000,
            scale_down=cleaned_data["along"] / 1000,
        )


class PartOfRun(StockForm):
    """Some numbers of a run, to be printed once more."""

    first = VialNumberField(label="From number")
    last = VialNumberField(label="To number")
    field_order = ("first", "last", "stock", "first_position")

    def __init__(self, *args: Any, row: queries.RunRow, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.row = row

    def clean(self) -> dict[str, Any]:
        cleaned_data = super().clean()
        for name in ("first", "last"):
            if cleaned_data.get(name) and self.place_in_run(cleaned_data[name]) is None:
                self.add_problem(
                    name,
                    f"{vial_number.grouped(cleaned_data[name])} is not in this run, "
                    f"{self.row.first} to {self.row.last}.",
                    code="other_run",
                )
        if "first" in self.errors or "last" in self.errors:
            return cleaned_data
        if cleaned_data["first"] > cleaned_data["last"]:
            self.add_problem("last", "The last number comes before the first.", code="backwards")
        return cleaned_data

    def place_in_run(self, number: str) -> int | None:
        """Return the place of a number in its year, if the number is of this run."""
        first = vial_number.parse(self.row.first)
        read = vial_number.parse(number)
        within = 0 <= read.sequence - first.sequence < self.row.run.count
        alike = (read.year2, read.digits) == (first.year2, first.digits)
        return read.sequence if within and alike else None

    def ends(self) -> tuple[int, int]:
        """Return the first and the last place asked for."""
        cleaned_data = self.cleaned_data
        return vial_number.parse(cleaned_data["first"]).sequence, vial_number.parse(
            cleaned_data["last"]
        ).sequence


class VoidNumbers(PlainForm):
    """Spoiled labels, whose numbers shall never be used."""

    void_first = VialNumberField(label="From number")
    void_last = VialNumberField(label="To number")
    note = forms.CharField(label="Reason", max_length=300, required=False)


class IssueVials(PlainForm):
    """A range of vials for somebody: its first number, and how many or the last."""

    to = forms.ModelChoiceField(
        label="To",
        queryset=User.objects.none(),
        empty_label="Choose a person",
        error_messages={
            "required": "Choose a person.",
            "invalid_choice": "Choose a person from the list.",
        },
    )
    first = VialNumberField(label="First number")
    count = TypedNumber(
        label="How many",
        required=False,
        unreadable="Enter a whole number of vials, such as 30.",
    )
    last = VialNumberField(label="Or last number", required=False)

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to"].queryset = queries.people_who_log(lake)  # type: ignore[attr-defined]
        self.fields["count"].unit_words = "vials"  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned_data: dict[str, Any] = super().clean() or self.cleaned_data
        if {"first", "count", "last"} & set(self.errors):
            return cleaned_data
        counted = self._last_from_count(cleaned_data)
        last = cleaned_data["last"]
        if last and counted and last != counted:
            self.add_problem(
                "last",
                f"{cleaned_data['count']} vials end at {vial_number.grouped(counted)}. "
                "Give how many or the last number, not both.",
                code="both",
            )
        elif counted:
            cleaned_data["last"] = counted
        return cleaned_data

    def _last_from_count(self, cleaned_data: dict[str, Any]) -> str:
        count = cleaned_data["count"]
        if count is None:
            if not cleaned_data["last"]:
                sentence = "Enter how many vials or the last number."
                self.add_problem("count", sentence, code="required")
            return ""
        if not 1 <= count <= services.MOST_AT_ONCE:
            sentence = f"Enter 1 to {services.MOST_AT_ONCE:,} vials."
            self.add_problem("count", sentence, code="too_many")
            return ""
        try:
            return vial_number.step(cleaned_data["first"], count - 1)
        except vial_number.VialNumberRefused as problem:
            sentence = f"These are too many. {problem.sentence}"
            self.add_problem("count", sentence, code=problem.code)
            return ""


class ReceiveVial(PlainForm):
    """One vial that came in: its number, the link of its label, or its last digits."""

    number = forms.CharField(
        label="Vial number",
        help_text="The last 4 digits are enough",
        max_length=200,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Enter the number on the vial's label."},
    )
    content = forms.ChoiceField(
        label="Inside",
        choices=Vial.Content.choices,
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose what is inside."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["number"].is_vial = True  # type: ignore[attr-defined]
        # A scanner types into whatever has the focus.
        self.fields["number"].widget.attrs |= {"autofocus": True, "enterkeyhint": "done"}

    def clean_number(self) -> str:
        typed: str = self.cleaned_data["number"]
        refuse_foreign_link(typed)
        return typed


class ChangeContent(PlainForm):
    """Another content for a vial that was received before, and what had been noted."""

    number = VialNumberField(label="Vial number")
    content = forms.ChoiceField(choices=Vial.Content.choices, required=False)
    was = forms.ChoiceField(choices=Vial.Content.choices, required=False)


class FindVial(PlainForm):
    """A vial number, or its last digits."""

    number = forms.CharField(
        label="Vial number",
        help_text="The whole number or its last digits",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Enter the number on the vial's label."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["number"].is_vial = True  # type: ignore[attr-defined]

    def clean_number(self) -> str:
        typed: str = self.cleaned_data["number"]
        refuse_foreign_link(typed)
        try:
            return vial_number.parse(typed).number
        except vial_number.VialNumberRefused as problem:
            if problem.code == "too_short":
                return "".join(filter(str.isdecimal, typed))
            raise ValidationError(problem.sentence, code=problem.code) from problem


class MarkVial(PlainForm):
    """Set one vial aside, or bring it back."""

    what = forms.ChoiceField(
        label="Status",
        choices=[("lost", "Lost"), ("void", "Void"), ("back", "Return to use")],
        error_messages={
            "required": "Choose lost or void.",
            "invalid_choice": "Choose lost or void.",
        },
    )
    note = forms.CharField(
        label="Reason",
        max_length=300,
        required=False,
        error_messages={"max_length": "Use 300 characters or fewer."},
    )
