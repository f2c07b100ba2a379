"""What the forms of a lake share: days of the year, percent, and lengths in its unit."""

from decimal import Decimal
from typing import Any, cast

from django import forms

from samples.form_parts import LengthField, PlainForm, plain
from samples.units import LengthUnit, Measured, to_text
from samples.waters.rules import (
    Unwritable,
    month_day_text,
    percent_text,
    read_month_day,
    read_number,
    share_of_percent,
)


class MonthDayField(forms.CharField):
    """A day of the year, typed as 1 April; its value is as stored, 04-01."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=20, **kwargs)
        self.error_messages["required"] = (
            f"{plain(self.label)}: enter a month and day, such as April 1."
        )

    def clean(self, value: Any) -> str:
        text: str = super().clean(value)
        try:
            return str(read_month_day(text))
        except Unwritable as problem:
            raise forms.ValidationError(str(problem), code=problem.code) from problem

    def prepare_value(self, value: Any) -> Any:
        """Show a stored day in words, and what was typed as it was typed."""
        if value is None:  # the field did not come with the form
            return ""
        try:
            return month_day_text(value)
        except ValueError:
            return value


class ShareField(forms.CharField):
    """A part of the whole, typed as percent; its value is a share between 0 and 1.

    `above_one` is for parts that are never as small as 1 percent: there 1 is a share, too.
    """

    unit_words = "percent"

    def __init__(self, *, needed: str = "", above_one: bool = False, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        )
        super().__init__(max_length=12, **kwargs)
        self.above_one = above_one
        if needed:
            self.error_messages["required"] = needed

    def clean(self, value: Any) -> Decimal | None:
        text: str = super().clean(value)
        if not text:
            return None
        try:
            share = share_of_percent(read_number(text))
        except Unwritable as problem:
            raise forms.ValidationError(str(problem), code=problem.code) from problem
        if self.above_one and share <= Decimal("0.01"):
            sentence = "Enter a percent above 1, such as 95; 100 if all."
            raise forms.ValidationError(sentence, code="share")
        return share

    def prepare_value(self, value: Any) -> Any:
        """Show a stored share as percent, and what was typed as it was typed."""
        return percent_text(Decimal(value)) if isinstance(value, int | Decimal) else value


class UnitForm(PlainForm):
    """A form with lengths in the lake's unit; a length left as it was shown stays exact."""

    lengths: tuple[str, ...] = ()

    def __init__(self, *args: Any, unit: str, stored: dict[str, Any], **kwargs: Any) -> None:
        self.unit = LengthUnit(unit)
        self.stored = stored
        shown = {name: to_text(stored[name], self.unit) for name in self.lengths if stored[name]}
        super().__init__(*args, initial={**stored, **shown}, **kwargs)
        for name in self.lengths:
            field = cast(LengthField, self.fields[name])
            field.unit = self.unit
            field.unit_words = self.unit.value  # type: ignore[attr-defined]

    def hundredths(self, name: str) -> int | None:
        """Return a length as it is to be stored; call it once the field is clean."""
        if name not in self.changed_data:
            return cast(int | None, self.stored[name])
        measured: Measured | None = self.cleaned_data[name]
        return measured.hundredths_mm if measured else None

    def convert_lengths(self) -> None:
        for name in self.lengths:
            if name in self.cleaned_data:
                self.cleaned_data[name] = self.hundredths(name)
