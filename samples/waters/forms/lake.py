"""Words typed for the lake itself, its arms and its reaches."""

from zoneinfo import available_timezones

from django import forms

from samples.form_parts import PlainForm
from samples.models import Lake


def zones() -> list[str]:
    """List the time zones that are places, by name."""
    return sorted(
        zone for zone in available_timezones() if "/" in zone and not zone.startswith("Etc/")
    )


class EditLake(PlainForm):
    name = forms.CharField(
        label="Name",
        max_length=80,
        error_messages={"required": "Enter the name of the lake, such as Lake Orrinbeck."},
    )
    length_unit = forms.ChoiceField(
        label="Length unit",
        choices=Lake.Unit.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose a unit, such as inches."},
    )
    weight_unit = forms.ChoiceField(
        label="Weight unit",
        choices=Lake.WeightUnit.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose a unit, such as grams."},
    )
    time_zone = forms.CharField(
        label="Time zone",
        max_length=64,
        widget=forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
        help_text="Catch dates use it, such as America/Chicago",
        error_messages={"required": "Choose a time zone from the list."},
    )

    office_phone = forms.CharField(
        label="Office phone",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
        help_text="Shown under Help on every phone that logs here, such as 605-555-0142",
    )
    office_address = forms.CharField(
        label="Office address",
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Where vials are dropped off, such as 12 Dock Road, weekdays 8 to 4",
    )

    suggest_annuli = forms.BooleanField(
        label="Offer suggested annuli on pictures",
        required=False,
        help_text="A reader accepts or moves each one; the reading records it",
    )

    @property
    def zones(self) -> list[str]:
        return zones()

    def clean_time_zone(self) -> str:
        typed = self.cleaned_data["time_zone"].replace(" ", "_").casefold()
        found = {zone.casefold(): zone for zone in zones()}.get(typed)
        if found is None:
            raise forms.ValidationError(
                "Choose a time zone from the list, such as America/Chicago.",
                code="no_zone",
            )
        return found


class Named(PlainForm):
    """The name of an arm or of a reach."""

    name = forms.CharField(
        label="Name", max_length=40, error_messages={"required": "Enter a name."}
    )
