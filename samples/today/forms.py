"""What is typed for a saved view."""

from typing import Any

from django import forms

from samples.form_parts import PlainForm
from samples.today.rules import LONGEST_QUERY


class NameView(PlainForm):
    """The name of a saved view."""

    name = forms.CharField(
        label="Name",
        max_length=60,
        help_text="For example Females only, Hobbin, 2026",
        error_messages={"required": "Enter a name, such as Females only, Hobbin, 2026."},
    )

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class ChangeView(NameView):
    """A name, and whom the view is for, if this person may share views."""

    is_shared = forms.BooleanField(
        label="Share with everybody at the lake who may open the page", required=False
    )

    def __init__(self, *args: Any, may_share: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not may_share:
            del self.fields["is_shared"]


class SaveView(ChangeView):
    """A name for an address, and whom it is for."""

    path = forms.CharField(max_length=200, widget=forms.HiddenInput)
    query = forms.CharField(max_length=LONGEST_QUERY, required=False, widget=forms.HiddenInput)
