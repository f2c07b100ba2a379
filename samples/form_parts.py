"""What every form is made of: plain words for what went wrong, and fields of the trade."""

from collections import Counter
from datetime import date
from typing import Any
from urllib.parse import urlsplit

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator
from django.forms.renderers import TemplatesSetting

from samples.rules import vial_number
from samples.units import LengthUnit, LengthUnreadable, Measured, parse_length

DATE_FORMATS = ["%Y-%m-%d", "%d %B %Y", "%d %b %Y", "%B %d %Y", "%B %d, %Y"]


def plain(name: object) -> str:
    """Return a name fit for an error message, where Django fills in what follows a percent sign."""
    return str(name).replace("%", "%%")


class PlainRenderer(TemplatesSetting):
    """Draws every field with our own label, hint, question and error."""

    field_template_name = "shared/field.html"


class PlainForm(forms.Form):
    """A form that keeps what was typed and says beside each field what to do."""

    default_renderer = PlainRenderer
    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.error_messages.setdefault("required", "")
            if field.error_messages["required"] in {
                "",
                forms.Field.default_error_messages["required"],
            }:
                field.error_messages["required"] = f"{plain(field.label)}: enter a value."
            _reword_lengths(field)

    def add_problem(self, name: str | None, sentence: str, *, code: str) -> None:
        """Put an error with its code beside a field; of no field of this form, on top."""
        error = ValidationError(sentence, code=code)
        self.add_error(name if name in self.fields else None, error)

    @property
    def problems(self) -> list[tuple[str, str]]:
        """Return every error as (id of its field, sentence), for the summary on top.

        A sentence that is said of several fields names each.
        """
        found = [("", str(words)) for words in self.non_field_errors()]
        said = [
            (self[name], str(words))
            for name, errors in self.errors.items()
            if name != "__all__"
            for words in errors
        ]
        times = Counter(words for _, words in said)
        for field, words in said:
            named = f"{field.label}: {words}" if times[words] > 1 else words
            found.append((field.id_for_label or f"id_{field.name}", named))
        return found


def _reword_lengths(field: forms.Field) -> None:
    """Replace the message about a text that is too long by a plain one."""
    for validator in field.validators:
        if isinstance(validator, MaxLengthValidator):
            validator.message = "Use %(limit_value)d characters or fewer."


class TypedNumber(forms.IntegerField):
    """A whole number, typed: a spinner's wheel would change it unseen."""

    widget = forms.TextInput

    def __init__(self, *, needed: str = "", unreadable: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "numeric"}))
        super().__init__(**kwargs)
        self.error_messages["invalid"] = unreadable or f"{plain(self.label)}: enter a whole number."
        if needed:
            self.error_messages["required"] = needed

    def to_python(self, value: Any) -> int | None:
        text = str(value).replace(" ", "").replace(",", "") if value is not None else None
        number: int | None = super().to_python(text)
        return number


class PlainDate(forms.DateField):
    """A date, by the browser's own picker or typed as April 18, 2026."""

    def __init__(
        self, *, needed: str = "Enter a date, such as May 6, 2026.", **kwargs: Any
    ) -> None:
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        kwargs.setdefault("input_formats", DATE_FORMATS)
        super().__init__(**kwargs)
        self.error_messages["required"] = needed
        self.error_messages["invalid"] = "Enter the date as May 6, 2026."

    def to_python(self, value: Any) -> date | None:
        text = " ".join(value.split()) if isinstance(value, str) else value
        day: date | None = super().to_python(text)
        return day


class LengthField(forms.CharField):
    """A total length as measured, in the lake's unit or with its unit beside it."""

    def __init__(self, *, unit: LengthUnit = LengthUnit.INCH, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Total length")
        kwargs.setdefault(
            "widget",
            forms.TextInput(
                attrs={"inputmode": "decimal", "autocomplete": "off", "enterkeyhint": "next"}
            ),
        )
        super().__init__(**kwargs)
        self.unit = unit
        self.error_messages["required"] = "Enter the total length."

    def clean(self, value: Any) -> Measured | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_length(text, self.unit)
        except LengthUnreadable as problem:
            raise ValidationError(str(problem), code=problem.code) from problem


class RequestIdField(forms.UUIDField):
    """The id that a page sends along: sent a second time, it asks for what was made already."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.HiddenInput)
        super().__init__(**kwargs)
        out_of_date = "This page is out of date. Reload it, then try again."
        self.error_messages |= {"required": out_of_date, "invalid": out_of_date}


def refuse_foreign_link(text: str) -> None:
    """Refuse a scanned link that leads to another site: its digits are no vial of ours.

    A site that moved keeps its old names among the allowed hosts, so that the links on labels
    which were printed before still open; they are welcome here too.
    """
    host = vial_number.link_host(text)
    ours = [*settings.ALLOWED_HOSTS, urlsplit(settings.PUBLIC_ADDRESS).hostname]
    if host and not any(_covers(known, host) for known in ours if known):
        raise ValidationError(
            f"This is a link of {host}, not a label of this site. Type the number on the label, "
            "such as 26 0147 3.",
            code="other_host",
        )


def _covers(known: str, host: str) -> bool:
    """Return whether an allowed host is this one: with a dot before it, its subdomains too."""
    if known.startswith("."):
        return host == known[1:] or host.endswith(known)
    return known in ("*", host)


class VialNumberField(forms.CharField):
    """A vial number whose check digit must fit; spaces and a scanned link are welcome."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Vial")
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        )
        super().__init__(**kwargs)
        self.error_messages["required"] = "Enter the number on the vial's label."

    def clean(self, value: Any) -> str:
        text: str = super().clean(value)
        if not text:
            return ""
        refuse_foreign_link(text)
        try:
            return vial_number.parse(text).number
        except (vial_number.VialNumberUnreadable, vial_number.WrongCheckDigit) as problem:
            raise ValidationError(str(problem), code=problem.code) from problem
