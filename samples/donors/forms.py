"""What the biologist and donors type: messages, addresses, switches, and that one is forgotten."""

from typing import Any

from django import forms

from samples.asks.forms import refuse_names
from samples.form_parts import PlainForm
from samples.models import LONGEST_MESSAGE, Lake

NO_ADDRESS = "Enter an email address, such as name@example.org."


class MessageForm(PlainForm):
    """A message to all donors: it names no person, no vial and no place below an arm."""

    text = forms.CharField(
        label="Message",
        max_length=LONGEST_MESSAGE,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Shown on every guide's phone and own-fish page",
        error_messages={"required": "Type a message, such as Thank you for 212 fish this season."},
    )
    by_mail = forms.BooleanField(label="Also send by email", required=False)

    def __init__(self, *args: Any, lake: Lake, **kwargs: Any) -> None:
        self.lake = lake
        super().__init__(*args, **kwargs)

    def clean_text(self) -> str:
        return str(self.cleaned_data["text"]).strip()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        refuse_names(self, self.lake, [("text", cleaned.get("text", ""))], no_reaches=True)
        return cleaned


class SwitchesForm(PlainForm):
    """What donors of a lake get."""

    shares_pictures = forms.BooleanField(
        label="Donors see otolith pictures of their own fish",
        required=False,
        help_text="A copy without camera data. Turn off while a blind reading session is open.",
    )
    mails_donors = forms.BooleanField(
        label="Messages can go by email",
        required=False,
        help_text="Only to donors who gave an address. Each mail has a link that stops them.",
    )


class AddressForm(PlainForm):
    """Where a donor wants mail."""

    email = forms.EmailField(
        label="Email address",
        max_length=200,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        error_messages={"required": NO_ADDRESS, "invalid": NO_ADDRESS},
    )
    agreed = forms.BooleanField(
        label="Email me messages about my fish",
        error_messages={"required": "Check this box, or leave the page without an address."},
    )

    def __init__(self, *args: Any, of_other: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if of_other:
            self.fields["agreed"].label = "The donor asked for these emails"


class ForgetForm(PlainForm):
    """That a donor is forgotten: said once more, since nothing brings the name back."""

    with_photos = forms.BooleanField(label="Delete the photos of these fish too", required=False)
    sure = forms.BooleanField(
        label="I understand that the name can't be brought back",
        error_messages={"required": "Check this box to forget the donor, or cancel."},
    )
