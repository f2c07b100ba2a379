"""What every form of the ramp does with what is typed into it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, ClassVar
from uuid import uuid4

from django import forms
from django.utils.datastructures import MultiValueDict

from samples.form_parts import PlainForm
from samples.ramp.entry import SCHEMA, Entry, Unreadable, all_specs_of, read
from samples.ramp.forms.fields import form_field_of
from samples.ramp.geometry import Board
from samples.rules.plausible import Question

Typed = MultiValueDict[str, Any]
SET_BY_THE_FORM = {"party_id", "written_at"}
VIAL_CODES = {"wrong_check_digit", "vial_used", "vial_elsewhere", "vial_other_year"}


@dataclass(frozen=True, slots=True)
class FormQuestion:
    """A question on the page, with the picture that shows why it is asked.

    ``near``: vials that may be meant. Without a ``yes`` what was typed cannot stand.
    """

    question: Question
    yes: str
    board: Board | None = None
    near: tuple[str, ...] = ()
    # What the button of the suggestion says, where that is not the suggestion itself.
    offer: str = ""


class EntryForm(PlainForm):
    """A form that makes one entry. Its id comes with the page: sent twice it is one.

    Its fields are those of the entry, as their specs say, but for ``left_out``. ``required`` are
    those on which this page insists, ``chosen`` those that are chosen from a list it sets.
    """

    kind: type[Entry]
    left_out: frozenset[str] = frozenset()
    required: frozenset[str] = frozenset()
    chosen: frozenset[str] = frozenset()
    widgets: ClassVar[Mapping[str, forms.Widget | type[forms.Widget]]] = {}

    entry_id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    confirmed = forms.CharField(widget=forms.HiddenInput, required=False)
    # The party that the page was made for: an old page must not write to a newer party.
    for_party = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Typed | None = None, *, party_id: Any = None, **kw: Any) -> None:
        initial = {"entry_id": uuid4(), "for_party": party_id} | kw.pop("initial", {})
        # Django copies them into `fields`, those of the instance before those of the class.
        self.base_fields = self._entry_fields() | type(self).base_fields  # type: ignore[misc]
        super().__init__(_with_answers(data), initial=initial, **kw)
        self.party_id = party_id
        self.entry: Entry | None = None
        self.questions: list[FormQuestion] = []

    def _entry_fields(self) -> dict[str, forms.Field]:
        hidden = self.left_out | type(self).base_fields.keys() | SET_BY_THE_FORM
        return {
            one.word: form_field_of(
                one,
                is_required=one.word in self.required,
                is_chosen=one.word in self.chosen,
                widget=self.widgets.get(one.word),
            )
            for one in all_specs_of(self.kind)
            if one.word not in hidden
        }

    def set_choices(self, name: str, choices: Sequence[Any]) -> None:
        """Set the list from which a field is chosen."""
        field = self.fields[name]
        if isinstance(field, forms.ChoiceField):
            field.choices = choices

    @property
    def codes(self) -> list[str]:
        """Return the codes of the questions answered so far."""
        return [code for code in (self["confirmed"].value() or "").split(",") if code]

    def typed(self) -> dict[str, Any]:
        """Return what was typed, by the names that phones use; dates as phones write them."""
        texts = {
            name: str(self.data.get(name, "")).strip()
            for name in self.fields
            if name not in type(self).base_fields
        }
        days = {
            name: day.isoformat()
            for name, day in self.cleaned_data.items()
            if isinstance(day, date)
        }
        return texts | days

    def read_entry(self, *, now: datetime, **more: Any) -> Entry | None:
        """Return the entry; what cannot be read becomes an error beside its field."""
        if not self.is_valid():
            return None
        payload = {
            **self.typed(),
            "kind": self.kind.kind,
            "schema": SCHEMA,
            "entry_id": str(self.cleaned_data["entry_id"] or uuid4()),
            "party_id": str(self.party_id or self.cleaned_data["entry_id"]),
            "written_at": now.isoformat(),
            "confirmed": self.codes,
            **more,
        }
        try:
            self.entry = read(payload)
        except Unreadable as problem:
            self.refuse(problem.errors, code="unreadable")
        return self.entry

    def refuse(self, errors: dict[str, list[str]], *, code: str) -> None:
        """Put errors beside their fields; those of no field of this form on top."""
        for name, sentences in errors.items():
            for sentence in sentences:
                self.add_problem(name, sentence, code=code)


def _with_answers(data: Typed | None) -> Typed | None:
    """Return what was typed with the answer that a button gave: a code, another length or vial."""
    if data is None:
        return None
    typed = data.copy()
    codes = [code for code in str(typed.get("confirmed", "")).split(",") if code]
    codes += [code for code in typed.getlist("confirm") if code not in codes]
    if typed.get("use_length"):
        typed["length"] = typed.get("use_length")
        codes = [code for code in codes if code in VIAL_CODES]
    if typed.get("use_vial"):
        typed["vial"] = typed.get("use_vial")
        codes = [code for code in codes if code not in VIAL_CODES]
    if typed.get("use_caught_on"):
        typed["caught_on"] = typed.get("use_caught_on")
    typed["confirmed"] = ",".join(codes)
    return typed
