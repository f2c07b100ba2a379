"""Words typed on the pages of people and links."""

from datetime import date

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.password_validation import validate_password
from django.utils.formats import date_format

from samples.form_parts import PlainDate, PlainForm, PlainRenderer, RequestIdField
from samples.models import Membership, User

LONGEST_NAME = User._meta.get_field("username").max_length or 0


class SignIn(AuthenticationForm):
    """Name and password of somebody on the staff."""

    default_renderer = PlainRenderer
    use_required_attribute = False
    error_messages = {
        "invalid_login": "Wrong name or password. Enter both again.",
        "inactive": "This account is closed. Ask the biologist.",
    }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, label_suffix="", **kwargs)  # type: ignore[arg-type]
        self.fields["username"].label = "Sign-in name"
        self.fields["username"].error_messages["required"] = "Enter your sign-in name."
        self.fields["password"].error_messages["required"] = "Enter your password."

    def clean_username(self) -> str:
        """Refuse what is longer than any name: the log of tries has no room for it."""
        name: str = self.cleaned_data["username"]
        if len(name) > LONGEST_NAME:
            raise forms.ValidationError(self.error_messages["invalid_login"], "invalid_login")
        return name

    @property
    def problems(self) -> list[tuple[str, str]]:
        found = [("id_username", str(error)) for error in self.non_field_errors()]
        for name in ("username", "password"):
            found += [(f"id_{name}", str(error)) for error in self.errors.get(name, [])]
        return found


class LostPassword(PlainForm):
    """Whose password is lost."""

    username = forms.CharField(
        label="Sign-in name",
        max_length=LONGEST_NAME,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
        error_messages={"required": "Enter your sign-in name, such as n-aubrey."},
    )


NEW_PASSWORD = forms.PasswordInput(attrs={"autocomplete": "new-password"})


class NewPassword(PlainForm):
    """A password that a person chooses, typed twice."""

    new_password = forms.CharField(
        label="New password",
        strip=False,
        widget=NEW_PASSWORD,
        help_text="At least 10 characters. Three or four unrelated words are easy to remember.",
        error_messages={"required": "Enter a new password of at least 10 characters."},
    )
    again = forms.CharField(
        label="Same password again",
        strip=False,
        widget=NEW_PASSWORD,
        error_messages={"required": "Enter the same password again."},
    )

    def __init__(self, *args: object, person: User, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_new_password(self) -> str:
        password: str = self.cleaned_data["new_password"]
        validate_password(password, self.person)
        return password

    def clean(self) -> None:
        new, again = (self.cleaned_data.get(name) for name in ("new_password", "again"))
        if new and again and new != again:
            sentence = "The two passwords differ. Enter the same password again."
            self.add_problem("again", sentence, code="differ")


class ChangePassword(NewPassword):
    """A new password, by whoever knows the one of today."""

    field_order = ("password",)
    password = forms.CharField(
        label="Current password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Enter your current password."},
    )

    def clean_password(self) -> None:
        if not self.person.check_password(self.cleaned_data["password"]):
            raise forms.ValidationError(
                "This is not your current password. Enter it again.", "wrong"
            )


class NewPerson(PlainForm):
    """Somebody new at a lake."""

    display_name = forms.CharField(
        label="Name",
        max_length=80,
        help_text="As shown on screen, such as R. Ostrow",
        error_messages={"required": "Enter a name, such as R. Ostrow."},
    )
    role = forms.ChoiceField(label="Role", choices=Membership.Role.choices)
    username = forms.CharField(
        label="Sign-in name",
        max_length=60,
        required=False,
        help_text="Staff only; guides use a personal link",
    )
    password = forms.CharField(
        label="First password",
        required=False,
        widget=NEW_PASSWORD,
        help_text="Staff only; at least 10 characters",
    )

    def clean_username(self) -> str:
        name: str = self.cleaned_data["username"].strip()
        if name and User.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError("This sign-in name is taken. Choose another.", "name_taken")
        return name

    def clean(self) -> None:
        cleaned_data = self.cleaned_data
        if cleaned_data.get("role") == Membership.Role.GUIDE:
            return
        if not cleaned_data.get("username") and "username" not in self.errors:
            sentence = "Enter a sign-in name, such as n-aubrey."
            self.add_problem("username", sentence, code="required")
        if not cleaned_data.get("password"):
            sentence = "Enter a first password."
            self.add_problem("password", sentence, code="required")
            return
        try:
            person = User(
                username=cleaned_data.get("username", ""),
                display_name=cleaned_data.get("display_name", ""),
            )
            validate_password(cleaned_data["password"], person)
        except forms.ValidationError as problem:
            self.add_error("password", problem)


class NewLinkForm(PlainForm):
    """Until when a new personal link is good."""

    good_until = PlainDate(
        label="Valid through", needed="Enter the last day, such as October 31, 2026."
    )
    request_id = RequestIdField(required=False)

    def __init__(self, *args: object, today: date, last_day: date, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.last_day = today, last_day

    def clean_good_until(self) -> date:
        day: date = self.cleaned_data["good_until"]
        if day < self.today:
            raise forms.ValidationError("This date is past. Enter today or later.", "over")
        if day > self.last_day:
            last = date_format(self.last_day)
            sentence = f"Links end 60 days after the season. Enter {last} or an earlier day."
            raise forms.ValidationError(sentence, "too_late")
        return day
