"""Words typed on the pages of people and links."""

from datetime import date

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.password_validation import validate_password

from samples.form_parts import PlainDate, PlainForm, PlainRenderer
from samples.models import Membership, User


class SignIn(AuthenticationForm):
    """Name and password of somebody on the staff."""

    default_renderer = PlainRenderer
    use_required_attribute = False
    error_messages = {
        "invalid_login": "This name and password do not go together. Type both again.",
        "inactive": "This person may no longer sign in. Ask the biologist.",
    }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, label_suffix="", **kwargs)  # type: ignore[arg-type]
        self.fields["username"].label = "Sign-in name"
        self.fields["username"].error_messages["required"] = "Type your sign-in name."
        self.fields["password"].error_messages["required"] = "Type your password."

    @property
    def problems(self) -> list[tuple[str, str]]:
        found = [("id_username", str(words)) for words in self.non_field_errors()]
        for name in ("username", "password"):
            found += [(f"id_{name}", str(words)) for words in self.errors.get(name, [])]
        return found


class NewPerson(PlainForm):
    """Somebody new at a lake."""

    display_name = forms.CharField(
        label="Name",
        max_length=80,
        help_text="As it should read on the screen, for example R. Ostrow",
        error_messages={"required": "What is the person called? Give a name."},
    )
    role = forms.ChoiceField(label="Role", choices=Membership.Role.choices)
    username = forms.CharField(
        label="Sign-in name",
        max_length=60,
        required=False,
        help_text="For staff only; a guide opens a personal link instead",
    )
    password = forms.CharField(
        label="First password",
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}, render_value=True),
        help_text="For staff only; at least 10 characters",
    )

    def clean_username(self) -> str:
        name: str = self.cleaned_data["username"].strip()
        if name and User.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError("Somebody has this sign-in name. Choose another one.")
        return name

    def clean(self) -> None:
        words = self.cleaned_data
        if words.get("role") == Membership.Role.GUIDE:
            return
        if not words.get("username") and "username" not in self.errors:
            self.add_error("username", "Staff sign in by name. Give a sign-in name.")
        if not words.get("password"):
            self.add_error("password", "Staff sign in with a password. Give a first one.")
            return
        try:
            validate_password(words["password"])
        except forms.ValidationError as problem:
            self.add_error("password", problem)


class NewLink(PlainForm):
    """Until when a new personal link is good."""

    good_until = PlainDate(label="Good until", needed="Until when is the link good? Give a date.")

    def __init__(self, *args: object, today: date, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_good_until(self) -> date:
        day: date = self.cleaned_data["good_until"]
        if day < self.today:
            raise forms.ValidationError("This day is over. Give a day from today on.")
        return day
