"""How the office settles a held entry, typed."""

from django import forms

from samples.form_parts import PlainForm


class KeepForm(PlainForm):
    """The held fish keeps the vial; the fish logged first gets another number, or waits."""

    other_number = forms.CharField(
        label="Number for the fish logged first",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="Left empty, that fish waits for a vial",
    )
    keep_note = forms.CharField(label="Note", required=False, max_length=300)


class BothWaitForm(PlainForm):
    """Neither fish has the vial until somebody has looked into it."""

    wait_note = forms.CharField(label="Note", required=False, max_length=300)


class OtherNumberForm(PlainForm):
    """The held fish is logged under another number."""

    number = forms.CharField(
        label="Number for this fish",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Which vial is it in? Type the number on its label."},
    )
    number_note = forms.CharField(label="Note", required=False, max_length=300)


class TakeInForm(PlainForm):
    """A correction that came late is taken in as it was said."""

    in_note = forms.CharField(label="Note", required=False, max_length=300)


class AsideForm(PlainForm):
    """The held entry is settled without a fish."""

    note = forms.CharField(
        label="Why",
        max_length=300,
        error_messages={"required": "Say in a note why this entry is set aside."},
    )


class PasteForm(PlainForm):
    """What a phone could not send, as text."""

    text = forms.CharField(
        label="Text from the phone",
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false", "autocomplete": "off"}),
        help_text="All of it, as it came. Only the lines that begin with a brace are read",
        strip=False,
        error_messages={"required": "Paste the text that the phone gave."},
        max_length=600_000,
    )
