"""What the forms of a lake share: days of the year, and lengths in its unit."""

from typing import Any, cast

from django import forms

from samples.form_parts import LengthField, PlainForm
from samples.units import LengthUnit, Measured, to_text
from samples.waters.rules import Unwritable, month_day_text, read_month_day


class MonthDayField(forms.CharField):
    """A day of the year, typed as 1 April; its value is as stored, 04-01."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=20, **kwargs)
        self.error_messages["required"] = f"{self.label}: give the day and the month."

    def clean(self, value: Any) -> str:
        text: str = super().clean(value)
        try:
            return str(read_month_day(text))
        except Unwritable as problem:
            raise forms.ValidationError(str(problem)) from problem

    def prepare_value(self, value: Any) -> Any:
        """Show a stored day in words, and what was typed as it was typed."""
        try:
            return month_day_text(value)
        except ValueError:
            return value


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
        """Give a length as it is to be stored; call it once the field is clean."""
        if name not in self.changed_data:
            return cast(int | None, self.stored[name])
        measured: Measured | None = self.cleaned_data[name]
        return measured.hundredths_mm if measured else None

    def take_lengths(self) -> None:
        for name in self.lengths:
            if name in self.cleaned_data:
                self.cleaned_data[name] = self.hundredths(name)
