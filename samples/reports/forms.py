"""What is typed on the pages of reports."""

from typing import Any

from django import forms

from samples.asks.rules import name_in
from samples.form_parts import PlainForm
from samples.models import (
    LONGEST_AUTHORS,
    LONGEST_OWN_WORDS,
    LONGEST_TITLE,
    Lake,
    Paper,
    Report,
    Season,
)
from samples.reports.queries import donor_names, reports_at

NEW = "new"
OWN_WORDS = "Printed as typed. An empty line starts a new paragraph."


class _NamesNoDonor(PlainForm):
    """A form whose words name no donor."""

    read: tuple[str, ...] = ()

    def __init__(self, data: Any, *, lake: Lake, **more: Any) -> None:
        self.lake = lake
        super().__init__(data, **more)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        donors = donor_names(self.lake)
        for name in self.read:
            if person := name_in(cleaned.get(name) or "", donors):
                sentence = f"Take out the name {person}: reports hold no donor names. Type a donor."
                self.add_problem(name, sentence, code="names_a_donor")
        return cleaned


def _title() -> forms.CharField:
    return forms.CharField(
        label="Title",
        max_length=LONGEST_TITLE,
        error_messages={"required": "Enter a title, such as White crappie of the lake, 2026."},
    )


def _authors() -> forms.CharField:
    return forms.CharField(
        label="Authors",
        max_length=LONGEST_AUTHORS,
        required=False,
        help_text="Names with commas between them",
    )


def _season(lake: Lake) -> forms.ModelChoiceField:  # type: ignore[type-arg]
    rows = Season.objects.filter(lake=lake).order_by("-starts_on", "-pk")
    return forms.ModelChoiceField(
        label="Season",
        queryset=rows,
        empty_label=None,
        error_messages={"invalid_choice": "Choose a season from the list."},
    )


class StartReport(_NamesNoDonor):
    """A new report."""

    read = ("title",)
    title = _title()
    authors = _authors()

    def __init__(self, data: Any, *, lake: Lake, **more: Any) -> None:
        super().__init__(data, lake=lake, **more)
        self.fields["season"] = _season(lake)
        self.order_fields(["season", "title", "authors"])


class FirstPage(_NamesNoDonor):
    """What stands on the first page, and the version that it was opened at."""

    read = ("title", "words")
    title = _title()
    authors = _authors()
    words = forms.CharField(
        label="Your words on the first page",
        max_length=LONGEST_OWN_WORDS,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=OWN_WORDS,
    )
    paper = forms.ChoiceField(label="Paper", choices=Paper.choices)
    version = forms.IntegerField(widget=forms.HiddenInput)


class BlockWords(_NamesNoDonor):
    """Own words above a block, and the version that they were opened at."""

    read = ("words",)
    words = forms.CharField(
        label="Your words above the block",
        max_length=LONGEST_OWN_WORDS,
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text=OWN_WORDS,
    )
    version = forms.IntegerField(widget=forms.HiddenInput)


class AddFinding(_NamesNoDonor):
    """To which report a finding is added: one there is, or a new one."""

    read = ("title",)
    report = forms.ChoiceField(
        label="Report",
        error_messages={"invalid_choice": "Choose a report from the list."},
    )
    title = forms.CharField(label="Title of a new report", max_length=LONGEST_TITLE, required=False)

    def __init__(self, data: Any, *, lake: Lake, **more: Any) -> None:
        super().__init__(data, lake=lake, **more)
        rows = list(reports_at(lake))
        self.by_key: dict[str, Report] = {str(row.pk): row for row in rows}
        self.fields["season"] = _season(lake)
        field = self.fields["report"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
        field.choices = [*((str(row.pk), str(row)) for row in rows), (NEW, "A new report")]
        self.initial.setdefault("report", next(iter(self.by_key), NEW))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("report") == NEW and not cleaned.get("title"):
            sentence = "Enter a title, such as White crappie of the lake, 2026."
            self.add_problem("title", sentence, code="required")
        return cleaned
