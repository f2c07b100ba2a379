"""Label stocks of a lake's own, sheets that are partly used, and labels as they were printed."""

from uuid import uuid4

from django.db import models
from django.db.models import Q

from samples.models.lake import Lake
from samples.models.user import User
from samples.models.vial import LabelRun


class LakeStock(models.Model):
    """A label stock that a lake's office measured itself; lengths in hundredths of a millimeter.

    A stock of one lake is no other lake's: who prints there must not move the labels of others.
    One that is retired is listed no more, and labels that were printed on it can be printed again.
    """

    # What the codes of such stocks begin with, in runs and printers.
    OWN = "own-"

    lake = models.ForeignKey(Lake, on_delete=models.CASCADE, related_name="stocks")
    note = models.CharField(max_length=40, blank=True, help_text="Stands after the measurements.")
    page_width = models.PositiveIntegerField()
    page_height = models.PositiveIntegerField()
    label_width = models.PositiveIntegerField()
    label_height = models.PositiveIntegerField()
    columns = models.PositiveSmallIntegerField()
    rows = models.PositiveSmallIntegerField()
    left = models.PositiveIntegerField()
    top = models.PositiveIntegerField()
    pitch_across = models.PositiveIntegerField()
    pitch_down = models.PositiveIntegerField()
    margin = models.PositiveIntegerField(default=100, help_text="The rim without ink.")
    corner_radius = models.PositiveIntegerField(default=0)
    is_round = models.BooleanField(default=False)
    strip = models.PositiveIntegerField(default=0, help_text="Width that is left to write on.")
    has_pencil_lines = models.BooleanField(default=False)
    dots_per_inch = models.PositiveSmallIntegerField()
    vial_diameter = models.PositiveIntegerField(null=True, blank=True, help_text="Empty: flat.")
    is_retired = models.BooleanField(default=False)
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="stock_has_labels",
                condition=Q(columns__gt=0, rows__gt=0, label_width__gt=0, label_height__gt=0),
            ),
            models.CheckConstraint(
                name="stock_labels_do_not_overlap",
                condition=(Q(columns=1) | Q(pitch_across__gte=models.F("label_width")))
                & (Q(rows=1) | Q(pitch_down__gte=models.F("label_height"))),
            ),
        ]

    def __str__(self) -> str:
        return f"stock {self.pk} of lake {self.lake_id}"

    @property
    def code(self) -> str:
        """Return what runs and printers keep of it."""
        return f"{self.OWN}{self.pk}"


class PartSheet(models.Model):
    """The sheet of a stock that was begun and not used up: which of its positions are used."""

    lake = models.ForeignKey(Lake, on_delete=models.CASCADE, related_name="part_sheets")
    stock = models.CharField(max_length=20)
    used = models.JSONField(help_text="Positions, counted along each row from 1.")
    # Counts the printings: a page that was opened before the last one must not use it again.
    version = models.PositiveIntegerField(default=1)
    left_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lake", "stock"], name="part_sheet_per_stock")
        ]

    def __str__(self) -> str:
        return f"part-used sheet of {self.stock} at lake {self.lake_id}"


def place_of_labels(label_print: "LabelPrint", filename: str) -> str:
    """Return where labels are kept: a name is never used again for other ones."""
    del label_print, filename
    name = uuid4().hex
    return f"labels/{name[:2]}/{name}.pdf"


class LabelPrint(models.Model):
    """Labels that were printed together: a run the first time, or some numbers again.

    `file` is kept, so that a second download is the same at once; ``drawn_from`` is a digest of
    all that it was drawn from, so that it is drawn again where that has changed.
    """

    lake = models.ForeignKey(Lake, on_delete=models.CASCADE, related_name="label_prints")
    run = models.OneToOneField(
        LabelRun,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="first_print",
        help_text="Empty where numbers are printed again.",
    )
    year = models.PositiveSmallIntegerField(help_text="The year of the numbers.")
    ranges = models.JSONField(help_text="First and last place in the year, of each range.")
    count = models.PositiveIntegerField(help_text="Numbers, void ones included.")
    stock = models.CharField(max_length=20)
    first_position = models.PositiveSmallIntegerField(default=1)
    used = models.JSONField(default=list, help_text="Positions of the first sheet that were used.")
    runs_down = models.BooleanField(default=False)
    twins = models.BooleanField(default=False)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    request_id = models.UUIDField(unique=True)
    file = models.FileField(upload_to=place_of_labels, max_length=100, blank=True)
    drawn_from = models.CharField(max_length=64, blank=True, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(name="label_print_not_empty", condition=Q(count__gt=0))
        ]

    def __str__(self) -> str:
        return f"print {self.pk}: {self.count} labels"
