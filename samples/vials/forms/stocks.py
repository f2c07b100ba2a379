"""Words typed where a label stock is measured, and where a printer's offset is."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from samples.form_parts import PlainForm, TypedNumber
from samples.models import LakeStock
from samples.vials.geometry import LabelStock, Nudge

_TENTHS = re.compile(r"([+-]?)(\d{0,3})(?:\.(\d)0*)?")
# 35, 35.5 mm, 1.5 in, 1 1/2 in, 3/8"
_LENGTH = re.compile(
    r"(?:(\d{1,4}(?:\.\d{0,4})?|\.\d{1,4})|(?:(\d{1,2})\s+)?(\d{1,2})/(\d{1,2}))\s*(mm|in|\")?"
)
_HUNDREDTHS_PER_INCH = 2540
_OF_A_SHEET = (
    "page_width",
    "page_height",
    "columns",
    "rows",
    "left",
    "top",
    "pitch_across",
    "pitch_down",
)
SHEET, SINGLE, ENVELOPE = "sheet", "single", "envelope"


class TypedMillimeters(forms.CharField):
    """A length in mm, or in inches with their sign, kept in whole hundredths of a millimeter."""

    def __init__(self, *, example: str, least: float = 0.0, most: float = 600.0, **kw: Any) -> None:
        attrs = {"autocomplete": "off", "inputmode": "text", "size": 8}
        super().__init__(widget=forms.TextInput(attrs=attrs), **kw)
        self.unit_words = "mm"
        self.example = example
        self.least, self.most = least, most
        self.error_messages["required"] = f"{self.label}: enter mm, such as {example}."

    def clean(self, value: Any) -> int | None:
        text: str = super().clean(value)
        if not text:
            return None
        plain = text.replace(",", ".").replace("\u201d", '"').lower().removesuffix(".").strip()
        if plain.startswith(("-", "\u2212")):
            raise ValidationError(f"{self.label} can't be negative.", code="negative")
        read = _LENGTH.fullmatch(plain)
        if read is None:
            raise ValidationError(
                f"{self.label}: enter mm, such as {self.example}, or inches, such as 1 1/2 in.",
                code="no_length",
            )
        length = self._hundredths(read)
        if not self.least * 100 <= length <= self.most * 100:
            raise ValidationError(
                f"{self.label}: enter {self.least:g} to {self.most:g} mm.", code="out_of_range"
            )
        return length

    def _hundredths(self, read: re.Match[str]) -> int:
        decimal, whole, over, under, unit = read.groups()
        if over and (not int(under) or unit not in ("in", '"')):
            raise ValidationError(
                f"{self.label}: write inches with their unit, such as 1 1/2 in.", code="no_length"
            )
        length = Fraction(decimal or whole or 0)
        length += Fraction(int(over), int(under)) if over else 0
        per_unit = _HUNDREDTHS_PER_INCH if unit in ("in", '"') else 100
        return round(length * per_unit)


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


def _length(label: str, example: str, **kwargs: Any) -> TypedMillimeters:
    return TypedMillimeters(label=label, example=example, **kwargs)


class MeasuredStock(PlainForm):
    """A label stock as somebody measured it."""

    kind = forms.ChoiceField(
        label="Comes as",
        widget=forms.RadioSelect,
        choices=[(SHEET, "Sheet"), (SINGLE, "Roll"), (ENVELOPE, "Envelope")],
        error_messages={
            "required": "Choose sheet, roll or envelope.",
            "invalid_choice": "Choose sheet, roll or envelope.",
        },
    )
    label_width = _length("Label width", "35", least=5.0, most=300.0)
    label_height = _length("Label height", "15", least=5.0, most=300.0)
    is_round = forms.BooleanField(label="Round, such as a cap dot", required=False)
    corner_radius = _length("Corner radius", "1.5", required=False, most=150.0)
    page_width = _length("Sheet width", "215.9", required=False, least=20.0)
    page_height = _length("Sheet height", "279.4", required=False, least=20.0)
    columns = TypedNumber(
        label="Labels across", required=False, unreadable="Enter a whole number, such as 5."
    )
    rows = TypedNumber(
        label="Labels down", required=False, unreadable="Enter a whole number, such as 17."
    )
    left = _length("Left margin", "14.5", required=False)
    top = _length("Top margin", "8.2", required=False)
    pitch_across = _length("Pitch across", "38", required=False)
    pitch_down = _length("Pitch down", "15.5", required=False)
    margin = _length("Rim without ink", "1", most=20.0)
    strip = _length("Write-on strip", "12", required=False, most=200.0)
    dots_per_inch = TypedNumber(
        label="Printer",
        needed="Enter the printer's dots an inch, such as 600.",
        unreadable="Enter the printer's dots an inch, such as 600.",
    )
    vial_diameter = _length("Vial diameter", "12", required=False, least=4.0, most=200.0)
    note = forms.CharField(label="Note", required=False, max_length=40)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["dots_per_inch"].unit_words = "dpi"  # type: ignore[attr-defined]
        # A roll has no sheet, and what lies flat no vial: the page says so above them.
        for name in (*_OF_A_SHEET, "corner_radius", "strip", "vial_diameter"):
            self.fields[name].fills_itself = True  # type: ignore[attr-defined]

    def clean_dots_per_inch(self) -> int:
        dots: int = self.cleaned_data["dots_per_inch"]
        if not 100 <= dots <= 2400:
            raise ValidationError(
                "Enter 100 to 2400 dots an inch, such as 203, 300 or 600.", code="out_of_range"
            )
        return dots

    def clean(self) -> dict[str, Any]:
        cleaned_data: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned_data.get("kind") == SHEET:
            self._check_sheet(cleaned_data)
        return cleaned_data

    def _check_sheet(self, cleaned_data: dict[str, Any]) -> None:
        """See that a sheet has all that a sheet has; one label a row needs no pitch."""
        for name, most in (("columns", 50), ("rows", 100)):
            count = cleaned_data.get(name)
            if name not in self.errors and (count is None or not 1 <= count <= most):
                label = self.fields[name].label
                sentence = f"{label}: enter 1 to {most}."
                self.add_problem(name, sentence, code="out_of_range")
        wanted = ["page_width", "page_height", "left", "top"]
        wanted += ["pitch_across"] if (cleaned_data.get("columns") or 2) > 1 else []
        wanted += ["pitch_down"] if (cleaned_data.get("rows") or 2) > 1 else []
        for name in wanted:
            if name not in self.errors and cleaned_data.get(name) is None:
                field = self.fields[name]
                self.add_problem(name, str(field.error_messages["required"]), code="required")

    def measurements(self) -> dict[str, Any]:
        """Return the columns of the stock; a single label is a page of its own."""
        words = dict(self.cleaned_data)
        kind = words.pop("kind")
        for name in ("corner_radius", "strip", "left", "top"):
            words[name] = words[name] or 0
        if words["is_round"]:
            words["corner_radius"] = 0
        if kind != SHEET:
            words |= {"columns": 1, "rows": 1, "left": 0, "top": 0}
            words |= {"page_width": words["label_width"], "page_height": words["label_height"]}
        words["pitch_across"] = words["pitch_across"] or words["label_width"]
        words["pitch_down"] = words["pitch_down"] or words["label_height"]
        if kind != SHEET:
            words |= {"pitch_across": words["label_width"], "pitch_down": words["label_height"]}
        words["has_pencil_lines"] = kind == ENVELOPE
        return words

    @staticmethod
    def words_of(stock: LabelStock) -> dict[str, Any]:
        """Write a stock as it is typed."""
        kind = SINGLE if stock.per_page == 1 else SHEET
        lengths = {
            "label_width": stock.label_width_mm,
            "label_height": stock.label_height_mm,
            "corner_radius": stock.corner_radius_mm,
            "page_width": stock.page_width_mm,
            "page_height": stock.page_height_mm,
            "left": stock.left_mm,
            "top": stock.top_mm,
            "pitch_across": stock.pitch_across_mm,
            "pitch_down": stock.pitch_down_mm,
            "margin": stock.margin_mm,
            "strip": stock.strip_mm,
            "vial_diameter": stock.vial_diameter_mm,
        }
        typed = {name: "" if mm is None else f"{mm:g}" for name, mm in lengths.items()}
        return {
            **typed,
            "kind": ENVELOPE if stock.has_pencil_lines else kind,
            "columns": stock.columns,
            "rows": stock.rows,
            "is_round": stock.is_round,
            "dots_per_inch": stock.dots_per_inch,
            "note": stock.note,
        }


def unsaved_stock(form: MeasuredStock) -> LakeStock:
    """Return what was typed as a stock that is not kept yet."""
    return LakeStock(**form.measurements())
