"""Words typed where vials are cleared and archived."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from samples.custody import rules
from samples.custody.queries import MediumRow
from samples.custody.rules import Medium
from samples.form_parts import (
    PlainDate,
    PlainForm,
    RequestIdField,
    TypedNumber,
    VialNumberField,
    refuse_foreign_link,
)
from samples.models import ArchiveBox, ClearingMedium, Lake, Season, Species, User
from samples.vials.queries import people_who_log


class ScanForm(PlainForm):
    """One vial, scanned or typed: a whole number, the link of its label, or its last digits."""

    number = forms.CharField(
        label="Scan or type a vial",
        help_text="The last 4 digits are enough",
        max_length=200,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Scan a label, or type the number on it, such as 0147."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A scanner types into whatever has the focus.
        self.fields["number"].widget.attrs |= {"autofocus": True, "enterkeyhint": "done"}

    def clean_number(self) -> str:
        typed: str = self.cleaned_data["number"]
        refuse_foreign_link(typed)
        return typed


class BoxScanForm(ScanForm):
    """One vial for a box, and the slot that it goes to."""

    slot = forms.CharField(
        label="Next slot",
        max_length=20,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
        error_messages={"max_length": "Type row and number, such as C4."},
    )
    proposed = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)


class StartTrayForm(PlainForm):
    """A tray and what its vials are cleared in."""

    name = forms.CharField(
        label="Tray",
        max_length=20,
        help_text="As written on the tray, such as C-14",
        error_messages={"required": "Enter the name on the tray, such as C-14."},
    )
    medium = forms.ChoiceField(
        label="Preparation and medium",
        error_messages={
            "required": "Choose a medium.",
            "invalid_choice": "Choose a medium from the list.",
        },
    )
    started_on = PlainDate(label="Start", needed="Enter the day it starts, such as May 6, 2026.")
    size = TypedNumber(
        label="Places",
        min_value=1,
        max_value=rules.MOST_IN_TRAY,
        initial=rules.TRAY_SIZE,
        needed="Enter how many vials the tray holds, such as 50.",
        unreadable="Enter a whole number of places, such as 50.",
        error_messages={
            "min_value": f"Enter 1 to {rules.MOST_IN_TRAY} places.",
            "max_value": f"Enter 1 to {rules.MOST_IN_TRAY} places.",
        },
    )

    def __init__(self, *args: Any, media: list[MediumRow], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {row.key: row for row in media}
        self.fields["medium"].choices = [(row.key, _choice(row)) for row in media]  # type: ignore[attr-defined]
        self.fields["size"].unit_words = "vials"  # type: ignore[attr-defined]

    @property
    def chosen(self) -> MediumRow:
        return self.offered[self.cleaned_data["medium"]]


def _choice(row: MediumRow) -> str:
    days = "" if row.medium.is_none else f", {row.medium.ready_after_days} days"
    of_species = f", {row.species}" if row.species else ""
    return f"{row.preparation.label}{of_species}: {row.words}{days}"


def _parts(label: str) -> TypedNumber:
    most = rules.MOST_PARTS
    sentence = f"Enter 0 to {most} parts."
    return TypedNumber(
        label=label,
        min_value=0,
        max_value=most,
        needed=sentence,
        unreadable="Enter whole parts, such as 3.",
        error_messages={"min_value": sentence, "max_value": sentence},
    )


def _days(label: str, such_as: int) -> TypedNumber:
    sentence = f"Enter 0 to {rules.MOST_DAYS} days, such as {such_as}."
    return TypedNumber(
        label=label,
        min_value=0,
        max_value=rules.MOST_DAYS,
        needed=sentence,
        unreadable=f"Enter a whole number of days, such as {such_as}.",
        error_messages={"min_value": sentence, "max_value": sentence},
    )


class MediumForm(PlainForm):
    """The laboratory's own medium for a preparation, of one species or of all."""

    preparation = forms.ChoiceField(
        label="Preparation",
        choices=ClearingMedium.Preparation.choices,
        error_messages={
            "required": "Choose a preparation.",
            "invalid_choice": "Choose a preparation from the list.",
        },
    )
    species = forms.ModelChoiceField(
        label="Species",
        queryset=Species.objects.none(),
        required=False,
        empty_label="All species",
        error_messages={"invalid_choice": "Choose a species from the list."},
    )
    glycerin_parts = _parts("Glycerin")
    ethanol_parts = _parts("Ethanol")
    ready_after_days = _days("Ready after", rules.READY_AFTER_DAYS)
    rinse_within_days = _days("Rinse within", rules.RINSE_WITHIN_DAYS)

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = Species.objects.filter(pk__in=lake.lake_species.values("species"))
        self.fields["species"].queryset = here.order_by("name")  # type: ignore[attr-defined]
        for name in ("glycerin_parts", "ethanol_parts"):
            self.fields[name].unit_words = "parts"  # type: ignore[attr-defined]
        for name in ("ready_after_days", "rinse_within_days"):
            self.fields[name].unit_words = "days"  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        ready, rinse = cleaned.get("ready_after_days"), cleaned.get("rinse_within_days")
        if ready is not None and rinse is not None and rinse < ready:
            self.add_problem(
                "rinse_within_days",
                f"Enter {ready} days or more: the otoliths are ready only then.",
                code="before_ready",
            )
        return cleaned

    def medium(self) -> Medium:
        """Return what was typed as a medium."""
        names = ("glycerin_parts", "ethanol_parts", "ready_after_days", "rinse_within_days")
        return Medium(**{name: self.cleaned_data[name] for name in names})


class BoxMapForm(PlainForm):
    """How many slots a box has, and where it is kept."""

    rows = TypedNumber(
        label="Rows",
        initial=10,
        needed="Enter the number of rows, such as 10.",
        unreadable="Enter a whole number of rows, such as 10.",
    )
    columns = TypedNumber(
        label="Slots in a row",
        initial=10,
        needed="Enter the number of slots in a row, such as 10.",
        unreadable="Enter a whole number of slots, such as 10.",
    )
    place = forms.CharField(
        label="Kept at",
        max_length=100,
        required=False,
        help_text="Such as cabinet 2, shelf 3",
    )

    def clean_rows(self) -> int:
        return _within(self.cleaned_data["rows"], rules.MOST_ROWS, "rows, named A to Z")

    def clean_columns(self) -> int:
        return _within(self.cleaned_data["columns"], rules.MOST_COLUMNS, "slots in a row")


class BoxForm(BoxMapForm):
    """A new box of the archive."""

    name = forms.CharField(
        label="Box",
        max_length=20,
        help_text="As written on the box, such as 26-04. It never changes.",
        error_messages={"required": "Enter the name on the box, such as 26-04."},
    )


def _within(count: int, most: int, what: str) -> int:
    if not 1 <= count <= most:
        raise ValidationError(f"Enter 1 to {most} {what}.", code="too_many")
    return count


class LayOutForm(BoxMapForm):
    """The map of a box that old records name: its size, and how its slots were numbered."""

    box = forms.CharField(widget=forms.HiddenInput, required=False)
    order = forms.ChoiceField(
        label="Slots numbered",
        choices=[
            ("across", "Across: 1, 2, 3 along row A"),
            ("down", "Down: 1, 2, 3 from A1 to B1 and C1"),
        ],
        initial="across",
        error_messages={
            "required": "Choose how the slots were numbered.",
            "invalid_choice": "Choose how the slots were numbered.",
        },
    )

    def __init__(self, *args: Any, box: ArchiveBox | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.known = box
        if box is not None:
            for name in ("rows", "columns", "place"):
                del self.fields[name]

    @property
    def size_and_place(self) -> dict[str, Any]:
        """Return what the box measures and where it is kept: as it is, where it has a map."""
        names = ("rows", "columns", "place")
        if self.known is not None:
            return {name: getattr(self.known, name) for name in names}
        return {name: self.cleaned_data[name] for name in names}

    @property
    def is_down(self) -> bool:
        return bool(self.cleaned_data["order"] == "down")


class PlaceForm(PlainForm):
    """Where a box is kept."""

    place = forms.CharField(label="Kept at", max_length=100, required=False)


class HandsForm(PlainForm):
    """A range of unused vials that leaves somebody's hands, and what became of it."""

    first = VialNumberField(label="From number")
    last = VialNumberField(label="To number")
    what = forms.ChoiceField(
        label="What happened",
        choices=[
            ("", "Choose what happened"),
            ("back", "Returned to the office"),
            ("pass", "Passed on to another person"),
            ("lost", "Lost"),
        ],
        error_messages={
            "required": "Choose what happened to these vials.",
            "invalid_choice": "Choose what happened to these vials.",
        },
    )
    to = forms.ModelChoiceField(
        label="Passed on to",
        queryset=User.objects.none(),
        required=False,
        empty_label="Choose a person",
        error_messages={"invalid_choice": "Choose a person from the list."},
    )
    note = forms.CharField(
        label="Reason", max_length=300, required=False, help_text="Needed where vials are lost"
    )

    def __init__(self, *args: Any, lake: Lake, holder: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Each is asked for where it belongs to what happened.
        for name in ("to", "note"):
            self.fields[name].fills_itself = True  # type: ignore[attr-defined]
        self.fields["to"].queryset = people_who_log(lake).exclude(pk=holder.pk)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("what") == "pass" and "to" not in self.errors and not cleaned["to"]:
            self.add_problem("to", "Choose who has the vials now.", code="required")
        if cleaned.get("what") == "lost" and "note" not in self.errors and not cleaned["note"]:
            self.add_problem("note", "Enter why, such as fell overboard.", code="required")
        return cleaned


class CardForm(PlainForm):
    """How a kit card is printed."""

    paper = forms.ChoiceField(
        label="Paper",
        choices=[
            ("letter", "Letter, folded once"),
            ("a4", "A4, folded once"),
            ("a6", "A6, both sides"),
        ],
        error_messages={
            "required": "Choose a paper.",
            "invalid_choice": "Choose a paper from the list.",
        },
    )
    link = forms.BooleanField(label="Print a new personal link", required=False)
    request_id = RequestIdField(required=False)


class SeasonForm(PlainForm):
    """The season whose vials are looked at."""

    season = forms.ModelChoiceField(
        label="Season",
        queryset=Season.objects.none(),
        empty_label=None,
        error_messages={
            "required": "Choose a season.",
            "invalid_choice": "Choose a season from the list.",
        },
    )

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        seasons = Season.objects.filter(lake=lake).order_by("-starts_on")
        self.fields["season"].queryset = seasons  # type: ignore[attr-defined]
