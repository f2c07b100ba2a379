"""Pictures of otoliths under a microscope, and how many micrometers a pixel of them spans."""

from uuid import uuid4

from django.core.files.storage import Storage, storages
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.lake import Lake
from samples.models.user import User
from samples.models.vial import Vial

PICTURES_FOLDER = "pictures"
TILES_FOLDER = "tiles"


def _new_name(folder: str, ending: str) -> str:
    """Return a name that says nothing, and is never one that was sent."""
    name = uuid4().hex
    return f"{folder}/{name[:2]}/{name}{ending}"


def place_of_original(picture: "Picture", filename: str) -> str:
    """Return where an original is kept: nothing runs or opens a file of such an ending."""
    del picture, filename
    return _new_name(PICTURES_FOLDER, ".original")


def place_of_copy(picture: "Picture", filename: str) -> str:
    del picture, filename
    return _new_name(PICTURES_FOLDER, ".jpg")


def place_of_tiles(picture: "Picture", filename: str) -> str:
    del picture, filename
    return _new_name(TILES_FOLDER, ".zip")


def tiles_storage() -> Storage:
    """Return where tiles are kept: beside the program, for they are drawn again where lost."""
    return storages["tiles"]


class Objective(models.Model):
    """One magnification of one microscope and camera: its pictures have one scale."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="objectives")
    name = models.CharField(max_length=60, help_text="Such as: Stereo 20x, old camera.")
    added_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        constraints = [models.UniqueConstraint("lake", Lower("name"), name="objective_name_once")]

    def __str__(self) -> str:
        return self.name


class PictureKind(models.TextChoices):
    OTOLITH = "otolith", "Otolith"
    MICROMETER = "micrometer", "Stage micrometer"


class PictureSide(models.TextChoices):
    NOT_NOTED = "", "Not recorded"
    LEFT = "left", "Left"
    RIGHT = "right", "Right"


class Picture(models.Model):
    """One picture: the file as it was sent, and what is shown of it, made anew by us.

    Marks and scales are in pixels of ``file``, from its upper left corner. A picture without a
    vial is kept aside; ``suggested_vial`` is what its name says until somebody confirms it.
    """

    Kind = PictureKind
    Side = PictureSide

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="pictures")
    kind = models.CharField(max_length=10, choices=PictureKind, default=PictureKind.OTOLITH)
    vial = models.ForeignKey(
        Vial, null=True, blank=True, on_delete=models.PROTECT, related_name="pictures"
    )
    suggested_vial = models.ForeignKey(
        Vial, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    side = models.CharField(max_length=5, choices=PictureSide, default="", blank=True)
    note = models.CharField(
        max_length=300, blank=True, help_text="How the otolith was prepared, or what is seen."
    )
    objective = models.ForeignKey(
        Objective, null=True, blank=True, on_delete=models.PROTECT, related_name="pictures"
    )
    # That of its day: a scale set later is no scale of an older picture.
    scale = models.ForeignKey(
        "PictureScale", null=True, blank=True, on_delete=models.PROTECT, related_name="pictures"
    )
    original = models.FileField(upload_to=place_of_original, max_length=100)
    original_name = models.CharField(max_length=200)
    original_sha256 = models.CharField(max_length=64, editable=False)
    original_bytes = models.PositiveIntegerField()
    file = models.FileField(upload_to=place_of_copy, max_length=100)
    sha256 = models.CharField(max_length=64, editable=False)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    thumbnail = models.FileField(upload_to=place_of_copy, max_length=100)
    thumbnail_sha256 = models.CharField(max_length=64, editable=False)
    thumbnail_width_px = models.PositiveSmallIntegerField()
    thumbnail_height_px = models.PositiveSmallIntegerField()
    tiles = models.FileField(
        upload_to=place_of_tiles, storage=tiles_storage, max_length=100, blank=True
    )
    uploaded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    uploaded_at = models.DateTimeField()
    confirmed_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    confirmed_at = models.DateTimeField(null=True, blank=True)
    # Tiles are no fact about a picture: they come and go.
    history = HistoricalRecords(excluded_fields=["tiles"])

    class Meta:
        indexes = [models.Index(fields=["lake", "kind", "vial"], name="picture_by_vial")]
        constraints = [
            models.UniqueConstraint(fields=["lake", "original_sha256"], name="picture_once"),
            only_choices("kind", PictureKind, name="picture_kind_known"),
            only_choices("side", PictureSide, name="picture_side_known"),
            models.CheckConstraint(
                name="picture_has_pixels", condition=Q(width_px__gt=0, height_px__gt=0)
            ),
            models.CheckConstraint(
                name="picture_of_a_vial_is_confirmed",
                condition=Q(vial__isnull=True, confirmed_at__isnull=True, confirmed_by__isnull=True)
                | Q(vial__isnull=False, confirmed_at__isnull=False, confirmed_by__isnull=False),
            ),
            models.CheckConstraint(
                name="picture_of_a_micrometer_has_no_vial",
                condition=~Q(kind="micrometer")
                | Q(vial__isnull=True, suggested_vial__isnull=True, objective__isnull=False),
            ),
            models.CheckConstraint(
                name="picture_with_a_scale_has_its_objective",
                condition=Q(scale__isnull=True) | Q(objective__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"picture {self.pk}"

    @property
    def um_per_px(self) -> float | None:
        """Return how many micrometers a pixel spans, where a scale is known."""
        return self.scale.um_per_px if self.scale is not None else None


class PictureScale(models.Model):
    """The scale of an objective: two points on a stage micrometer and their true distance.

    Never changed: another one is added, and pictures keep the one that they have.
    """

    objective = models.ForeignKey(Objective, on_delete=models.PROTECT, related_name="scales")
    micrometer = models.ForeignKey(
        Picture, on_delete=models.PROTECT, related_name="scales_set_on_it"
    )
    x1_px = models.FloatField()
    y1_px = models.FloatField()
    x2_px = models.FloatField()
    y2_px = models.FloatField()
    distance_um = models.FloatField(validators=[MinValueValidator(0)])
    um_per_px = models.FloatField()
    set_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    set_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="picture_scale_above_zero", condition=Q(distance_um__gt=0, um_per_px__gt=0)
            ),
            models.CheckConstraint(
                name="picture_scale_between_two_points",
                condition=~Q(x1_px=F("x2_px"), y1_px=F("y2_px")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.um_per_px:.4g} µm a pixel with objective {self.objective_id}"
