"""Forms of pictures: uploading, matching to vials, and setting a scale."""

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from samples.form_parts import PlainForm, VialNumberField
from samples.models import Objective, Picture

_DISTANCE = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?) ?(mm|µm|μm|um|millimeters?|micrometers?)", re.IGNORECASE
)
NOT_RECORDED = [("", "Not recorded")]


def _objective_choices(objectives: list[Objective], first: str) -> list[tuple[str, str]]:
    return [("", first), *((str(one.pk), one.name) for one in objectives)]


class ObjectiveField(forms.ChoiceField):
    """One of the objectives of a lake, as a row; None where none is chosen."""

    def __init__(self, *, first: str = "Not recorded", **kwargs: Any) -> None:
        super().__init__(required=False, **kwargs)
        self.first = first
        self.objectives: dict[str, Objective] = {}

    def offer(self, objectives: list[Objective]) -> None:
        self.objectives = {str(one.pk): one for one in objectives}
        self.choices = _objective_choices(objectives, self.first)

    def clean(self, value: Any) -> Objective | None:
        return self.objectives.get(super().clean(value))


class ObjectiveForm(PlainForm):
    """A form with an objective of the lake, offered in the field "objective"."""

    def __init__(self, *args: Any, objectives: list[Objective], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["objective"].offer(objectives)  # type: ignore[attr-defined]


class UploadForm(ObjectiveForm):
    """With which objective the pictures were taken; the files come beside it."""

    objective = ObjectiveField(
        label="Objective", help_text="The one that all these pictures were taken with"
    )


class ConfirmForm(PlainForm):
    """The vial of one picture that is kept aside; left empty, it stays aside."""

    vial = VialNumberField(label="Vial", required=False)
    side = forms.ChoiceField(label="Side", choices=Picture.Side.choices, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.fills_itself = True  # type: ignore[attr-defined]


class PictureForm(ObjectiveForm):
    """What is noted of one picture."""

    vial = VialNumberField(
        label="Vial", required=False, help_text="Leave empty to keep the picture aside"
    )
    side = forms.ChoiceField(label="Side", choices=Picture.Side.choices, required=False)
    objective = ObjectiveField(label="Objective")
    note = forms.CharField(
        label="Note",
        max_length=300,
        required=False,
        help_text="Such as: thin section, reflected light",
    )


class MicrometerForm(ObjectiveForm):
    """A picture of a stage micrometer, and the objective that it was taken with."""

    objective = ObjectiveField(label="Objective", first="New objective")
    name = forms.CharField(
        label="Name of the new objective",
        max_length=60,
        required=False,
        help_text="Microscope, magnification and camera, such as Stereo 20x, camera 2",
    )
    file = forms.FileField(
        label="Picture of the stage micrometer",
        help_text="JPEG, PNG or TIFF, up to 50 MB, taken like the pictures of otoliths",
        error_messages={
            "required": "Choose the picture of the stage micrometer.",
            "empty": "The file is empty. Choose another.",
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("objective", "name"):
            # One of the two is needed.
            self.fields[name].fills_itself = True  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("objective") is None and not cleaned.get("name"):
            self.add_problem(
                "name", "Enter a name for the objective, such as Stereo 20x.", code="required"
            )
        return cleaned


class PixelField(forms.FloatField):
    """A place on a picture, in pixels from its upper left corner."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        attributes = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(widget=forms.TextInput(attrs=attributes), **kwargs)
        self.error_messages["required"] = "Tap the point on the picture, or enter its pixels."
        self.error_messages["invalid"] = "Enter pixels as a number, such as 1240."


class DistanceField(forms.CharField):
    """A distance with its unit, in micrometers."""

    def clean(self, value: Any) -> float | None:
        text: str = super().clean(value)
        found = _DISTANCE.fullmatch(text.strip())
        if found is None:
            raise ValidationError(
                "Enter the distance with its unit, such as 1 mm or 500 µm.", code="no_distance"
            )
        number = float(found[1].replace(",", "."))
        distance = number * (1000 if found[2].lower().startswith(("mm", "milli")) else 1)
        if distance == 0:
            raise ValidationError(
                "The distance is zero. Enter it with its unit, such as 1 mm.", code="zero"
            )
        return distance


class ScaleForm(PlainForm):
    """Two points on a stage micrometer, and how far they are apart."""

    x1 = PixelField(label="Point 1, across")
    y1 = PixelField(label="Point 1, down")
    x2 = PixelField(label="Point 2, across")
    y2 = PixelField(label="Point 2, down")
    distance = DistanceField(
        label="True distance between the points",
        max_length=30,
        help_text="With its unit, such as 1 mm or 500 µm",
        error_messages={"required": "Enter the distance with its unit, such as 1 mm."},
    )
