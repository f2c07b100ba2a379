"""The list as the biologist words it."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from django import forms
from django.core import signing

from samples.asks import queries, rules
from samples.asks.parts import Draft, DraftLine
from samples.form_parts import PlainForm
from samples.models import LONGEST_ENOUGH, LONGEST_WORDS, Lake

SALT = "samples.asks.draft"
# The boxes are wide; a line too long for one wraps.
_ROWS = {"rows": 1, "autocomplete": "off"}


class AskForm(PlainForm):
    """One box for each line by rule, checked if it goes out, and what holds for all of them.

    The draft goes with the page, signed: what is counted later is what was read when the words
    were written, whatever came in meanwhile.
    """

    enough = forms.CharField(
        label="What we have enough of",
        max_length=LONGEST_ENOUGH,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="One sentence below the list",
    )
    is_public = forms.BooleanField(
        label="Show on the public page and in the web feed",
        required=False,
        help_text="No sign-in. Words must name no person, vial or place below an arm.",
    )
    draft = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any, *, lake: Lake, draft: Draft, is_public: bool) -> None:
        self.lake = lake
        self.written = _posted(data) or draft
        self.is_stale = data is not None and _posted(data) is None
        initial = {
            "enough": self.written.enough,
            "is_public": is_public,
            "draft": signing.dumps(self.written.as_json(), salt=SALT),
        }
        super().__init__(data, initial=initial)
        for at, line in enumerate(self.written.lines):
            self.fields[f"ask_{at}"] = forms.BooleanField(
                label=f"Ask for {line.words}, {line.place_names}", required=False, initial=True
            )
            self.fields[f"words_{at}"] = forms.CharField(
                label=line.place_names,
                max_length=LONGEST_WORDS,
                required=False,
                initial=line.words,
                widget=forms.Textarea(attrs=_ROWS),
            )

    @property
    def lines(self) -> list[tuple[DraftLine, Any, Any]]:
        """Return each line with its two boxes."""
        return [
            (line, self[f"ask_{at}"], self[f"words_{at}"])
            for at, line in enumerate(self.written.lines)
        ]

    def chosen_lines(self) -> list[DraftLine]:
        """Return the lines that go out, as they were worded."""
        return [
            replace(line, words=self.cleaned_data[f"words_{at}"])
            for at, line in enumerate(self.written.lines)
            if self.cleaned_data[f"ask_{at}"]
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self.is_stale:
            self.add_problem(None, "This page is out of date. Open it again.", code="stale")
            return cleaned
        chosen = [at for at in range(len(self.written.lines)) if cleaned.get(f"ask_{at}")]
        if not chosen:
            self.add_problem(None, "Check at least one line to send.", code="no_line")
        for at in chosen:
            self._clean_words(f"words_{at}", cleaned)
        read = ["enough", *(f"words_{at}" for at in chosen)]
        texts = [(name, cleaned.get(name, "")) for name in read]
        refuse_names(self, self.lake, texts, no_reaches=bool(cleaned.get("is_public")))
        return cleaned

    def _clean_words(self, name: str, cleaned: dict[str, Any]) -> None:
        if name not in cleaned:
            return
        cleaned[name] = " ".join(cleaned[name].split())
        if not cleaned[name]:
            sentence = "Type what to bring, such as White crappie under 8 in, or clear the check."
            self.add_problem(name, sentence, code="no_words")

    def clean_enough(self) -> str:
        return " ".join(str(self.cleaned_data["enough"]).split())


def refuse_names(
    form: PlainForm, lake: Lake, texts: Iterable[tuple[str, str]], *, no_reaches: bool
) -> None:
    """Refuse words that would tell whose fish, which vial or, in public, which reach."""
    people = queries.names_of_people(lake)
    reaches = queries.names_of_reaches(lake) if no_reaches else []
    for name, words in texts:
        if number := rules.vial_number_in(words):
            sentence = f"Take out the vial number {number}: everybody reads this."
            form.add_problem(name, sentence, code="names_a_vial")
        elif person := rules.name_in(words, people):
            sentence = f"Take out the name {person}: everybody reads this."
            form.add_problem(name, sentence, code="names_a_person")
        elif reach := rules.name_in(words, reaches):
            sentence = f"Take out {reach}: name no place below an arm."
            form.add_problem(name, sentence, code="names_a_reach")


def _posted(data: Any) -> Draft | None:
    """Return the draft that came with the page, unless it was not ours or of another version."""
    if data is None:
        return None
    try:
        return Draft.from_json(signing.loads(data.get("draft", ""), salt=SALT))
    except (signing.BadSignature, KeyError, TypeError, ValueError):
        return None
