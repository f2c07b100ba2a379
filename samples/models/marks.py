"""Annuli marked on a picture: a radius from core to edge, drawn for one reading."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from samples.models.picture import Picture
from samples.models.reading import Reading

MOST_RADII = 2


class MarkedRadius(models.Model):
    """A radius on a picture with the annuli that a reader marked along it.

    Ends are in pixels of the picture's file. ``annuli_px`` has the distance of each annulus from
    the core, innermost first. The first radius of a reading is its count and, where the picture
    has a scale, its `Radius` rows; a second one stands beside it.
    """

    reading = models.ForeignKey(Reading, on_delete=models.CASCADE, related_name="marked_radii")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="marked_radii")
    position = models.PositiveSmallIntegerField(default=1)
    core_x_px = models.FloatField()
    core_y_px = models.FloatField()
    edge_x_px = models.FloatField()
    edge_y_px = models.FloatField()
    annuli_px = models.JSONField(default=list)
    um_per_px = models.FloatField(null=True, blank=True)
    with_suggestion = models.BooleanField(
        default=False, help_text="Likely annuli were shown to the reader on this radius."
    )
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "marked radii"
        constraints = [
            models.UniqueConstraint(
                fields=["reading", "position"], name="marked_radius_once_per_position"
            ),
            models.CheckConstraint(
                name="marked_radius_first_or_second",
                condition=Q(position__gte=1, position__lte=MOST_RADII),
            ),
            models.CheckConstraint(
                name="marked_radius_between_two_points",
                condition=~Q(core_x_px=F("edge_x_px"), core_y_px=F("edge_y_px")),
            ),
            models.CheckConstraint(
                name="marked_radius_scale_above_zero",
                condition=Q(um_per_px__isnull=True) | Q(um_per_px__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return f"radius {self.position} of reading {self.reading_id}"
