"""Readings of otoliths. What was read is kept; it is never written over by another reader."""

from django.db import models
from django.db.models import Q

from samples.models.choices import only_choices
from samples.models.reading_session import ReadingStream, ReadMethod, SessionOtolith
from samples.models.revision import FindingsHistory
from samples.models.user import User
from samples.models.vial import Vial


class Margin(models.IntegerChoices):
    ANNULUS = 1, "1 Annulus at the edge"
    UNDER_THIRD = 2, "2 Less than 1/3"
    MIDDLE = 3, "3 1/3 to 2/3"
    OVER_TWO_THIRDS = 4, "4 More than 2/3"


class Readability(models.IntegerChoices):
    CLEAR = 1, "1 Clear"
    FAIR = 2, "2 Fair"
    POOR = 3, "3 Poor"


class Reading(models.Model):
    """One count of annuli by one reader, of one otolith of a session or on one day in the grid.

    Typed again before the session is closed, or on the same day, it is a correction, with
    history; later, or of another preparation, it is a new reading.
    """

    vial = models.ForeignKey(Vial, on_delete=models.PROTECT, related_name="readings")
    reader = models.ForeignKey(User, on_delete=models.PROTECT, related_name="readings")
    sitting_on = models.DateField(help_text="The day of the sitting, in the lake's zone.")
    method = models.CharField(max_length=10, choices=ReadMethod, default=ReadMethod.WHOLE)
    annuli = models.PositiveSmallIntegerField()
    annulus_at_edge = models.BooleanField(null=True, blank=True)
    margin = models.PositiveSmallIntegerField(choices=Margin, null=True, blank=True)
    readability = models.PositiveSmallIntegerField(choices=Readability, null=True, blank=True)
    session_otolith = models.OneToOneField(
        SessionOtolith, null=True, blank=True, on_delete=models.PROTECT, related_name="reading"
    )
    stream = models.CharField(
        max_length=9, choices=ReadingStream, default="", db_default="", blank=True
    )
    length_was_hidden = models.BooleanField(default=True)
    # Empty on readings from before it was kept.
    earlier_were_hidden = models.BooleanField(null=True, blank=True)
    structure = models.CharField(max_length=20, default="otolith")
    side = models.CharField(max_length=10, blank=True)
    axis = models.CharField(max_length=20, blank=True)
    light = models.CharField(max_length=12, blank=True)
    note = models.CharField(max_length=300, blank=True)
    preparation = models.ForeignKey(
        "Preparation", null=True, blank=True, on_delete=models.PROTECT, related_name="readings"
    )
    needs_section = models.BooleanField(default=False, db_default=False)
    slip_answers = models.JSONField(default=list, blank=True)
    # Set where the rings were measured: from the nucleus to the edge, on the same axis.
    edge_um = models.PositiveIntegerField(null=True, blank=True)
    read_at = models.DateTimeField()
    history = FindingsHistory(lake="vial__fish__lake")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["vial", "reader", "sitting_on", "method"],
                condition=Q(session_otolith__isnull=True, preparation__isnull=True),
                name="reading_once_per_sitting",
            ),
            models.UniqueConstraint(
                fields=["preparation", "reader", "sitting_on"],
                condition=Q(session_otolith__isnull=True, preparation__isnull=False),
                name="reading_once_per_preparation",
            ),
            models.CheckConstraint(
                name="reading_margin_1_to_4",
                condition=Q(margin__isnull=True)
                | Q(margin__gte=min(Margin), margin__lte=max(Margin)),
            ),
            models.CheckConstraint(
                name="reading_no_margin_without_annuli",
                condition=Q(annuli__gt=0) | Q(margin__isnull=True),
            ),
            models.CheckConstraint(name="reading_annuli_below_60", condition=Q(annuli__lt=60)),
            only_choices("method", ReadMethod, name="reading_method_known"),
            only_choices("readability", Readability, name="reading_readability_known"),
            only_choices("stream", ReadingStream, name="reading_stream_known"),
        ]

    def __str__(self) -> str:
        return f"reading {self.pk} of vial {self.vial_id}"


def without_reference(readings: models.QuerySet[Reading]) -> models.QuerySet[Reading]:
    """Leave readings that tell the age of a fish; those of the reference set test the reader."""
    return readings.exclude(stream=ReadingStream.REFERENCE)


class Radius(models.Model):
    """How far a ring lies from the nucleus, in micrometres: annulus 1 is the innermost."""

    reading = models.ForeignKey(Reading, on_delete=models.CASCADE, related_name="radii")
    annulus = models.PositiveSmallIntegerField()
    radius_um = models.PositiveIntegerField()

    class Meta:
        verbose_name_plural = "radii"
        constraints = [
            models.UniqueConstraint(fields=["reading", "annulus"], name="radius_once_per_annulus"),
            models.CheckConstraint(
                name="radius_above_zero", condition=Q(annulus__gt=0, radius_um__gt=0)
            ),
        ]

    def __str__(self) -> str:
        return f"annulus {self.annulus} of reading {self.reading_id}"


class LengthSeen(models.Model):
    """A reader was shown the length of a fish by another page than the grid, and when first."""

    vial = models.ForeignKey(Vial, on_delete=models.CASCADE, related_name="+")
    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    seen_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "lengths seen"
        constraints = [
            models.UniqueConstraint(fields=["vial", "person"], name="length_seen_once_noted")
        ]

    def __str__(self) -> str:
        return f"length of vial {self.vial_id} seen by {self.person_id}"
