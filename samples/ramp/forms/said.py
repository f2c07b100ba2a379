"""What every form of the ramp does with the words typed into it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.datastructures import MultiValueDict

from samples.form_parts import PlainForm
from samples.models import Kind
from samples.ramp.entry import SCHEMA, Entry, Unreadable, read
from samples.ramp.geometry import Board
from samples.rules.plausible import Question

Typed = MultiValueDict[str, Any]
VIAL_CODES = {"wrong_check_digit", "vial_used", "vial_elsewhere", "vial_other_year"}


@dataclass(frozen=True, slots=True)
class Asked:
    """One question on the page, with the picture that shows why it is asked.

    ``near``: vials that may be meant. Without a ``yes`` what was typed cannot stand.
    """

    question: Question
    yes: str
    board: Board | None = None
    near: tuple[str, ...] = ()
    # What the button of the suggestion says, where that is not the suggestion itself.
    take: str = ""


class SaidForm(PlainForm):
    """A form whose words make one entry. Its id comes with the page: sent twice it is one."""

    kind: Kind
    entry_id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    confirmed = forms.CharField(widget=forms.HiddenInput, required=False)
    # The party that the page was made for: an old page must not write to a newer party.
    for_party = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Typed | None = None, *, party_id: Any = None, **kw: Any) -> None:
        initial = {"entry_id": uuid4(), "for_party": party_id} | kw.pop("initial", {})
        super().__init__(_answered(data), initial=initial, **kw)
        self.party_id = party_id
        self.entry: Entry | None = None
        self.asked: list[Asked] = []

    @property
    def codes(self) -> list[str]:
        """The codes of the questions answered so far."""
        return [code for code in (self["confirmed"].value() or "").split(",") if code]

    def words(self) -> dict[str, Any]:
        """Give what was typed, by the names that phones use."""
        typed = {
            name: str(self.data.get(name, "")).strip()
            for name in self.fields
            if name not in {"confirmed", "entry_id", "for_party"}
        }
        days = {
            name: day.isoformat()
            for name, day in self.cleaned_data.items()
            if isinstance(day, date)
        }
        return typed | days

    def read_entry(self, *, now: datetime, **more: Any) -> Entry | None:
        """Read the entry; what cannot be read becomes an error beside its field."""
        if not self.is_valid():
            return None
        raw = {
            **self.words(),
            "kind": self.kind.value,
            "schema": SCHEMA,
            "entry_id": str(self.cleaned_data["entry_id"] or uuid4()),
            "party_id": str(self.party_id or self.cleaned_data["entry_id"]),
            "written_at": now.isoformat(),
            "confirmed": self.codes,
            **more,
        }
        try:
            self.entry = read(raw)
        except Unreadable as problem:
            self.refuse(problem.errors)
        return self.entry

    def refuse(self, errors: dict[str, list[str]]) -> None:
        """Put errors beside their fields; those of no field of this form on top."""
        for name, sentences in errors.items():
            for words in sentences:
                self.add_error(name if name in self.fields else None, words)


def _answered(data: Typed | None) -> Typed | None:
    """Take the answer that a button gave into the words: a code, another length or vial."""
    if data is None:
        return None
    words = data.copy()
    codes = [code for code in str(words.get("confirmed", "")).split(",") if code]
    codes += [code for code in words.getlist("confirm") if code not in codes]
    if words.get("use_length"):
        words["length"] = words.get("use_length")
        codes = [code for code in codes if code in VIAL_CODES]
    if words.get("use_vial"):
        words["vial"] = words.get("use_vial")
        codes = [code for code in codes if code not in VIAL_CODES]
    if words.get("use_caught_on"):
        words["caught_on"] = words.get("use_caught_on")
    words["confirmed"] = ",".join(codes)
    return words


def select_one(label: str, choices: Sequence[tuple[str, str]], **kwargs: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, **kwargs)
