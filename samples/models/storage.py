"""Where vials lie after they came in: trays of clearing medium, and boxes of the archive."""

from typing import TypeAlias

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.lake import Lake
from samples.models.reading_session import ReadMethod
from samples.models.species import Species
from samples.models.user import User
from samples.models.vial import Vial


class ClearingMedium(models.Model):
    """What a laboratory clears in, and for how long, by species and preparation.

    Both parts 0: these otoliths are not cleared, and are ready at once. Without a species it holds
    for every one that has no medium of its own.
    """

    Preparation: TypeAlias = ReadMethod

    lake = models.ForeignKey(Lake, on_delete=models.CASCADE, related_name="clearing_media")
    species = models.ForeignKey(
        Species, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    preparation = models.CharField(max_length=10, choices=ReadMethod, default=ReadMethod.WHOLE)
    glycerin_parts = models.PositiveSmallIntegerField(default=3)
    ethanol_parts = models.PositiveSmallIntegerField(default=2)
    ready_after_days = models.PositiveSmallIntegerField(default=10)
    rinse_within_days = models.PositiveSmallIntegerField(default=28)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "clearing media"
        constraints = [
            models.UniqueConstraint(
                "lake",
                "species",
                "preparation",
                condition=Q(species__isnull=False),
                name="clearing_medium_once_per_species",
            ),
            models.UniqueConstraint(
                "lake",
                "preparation",
                condition=Q(species__isnull=True),
                name="clearing_medium_once_for_others",
            ),
            only_choices("preparation", ReadMethod, name="clearing_medium_preparation_known"),
            models.CheckConstraint(
                name="clearing_medium_rinsed_after_ready",
                condition=Q(rinse_within_days__gte=F("ready_after_days")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.glycerin_parts}:{self.ethanol_parts} at lake {self.lake_id}"


class ClearingTray(models.Model):
    """Vials put to clear together. A tray has its name until it is rinsed and dried.

    It keeps the medium as it was used: the laboratory may use another one later.
    """

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="clearing_trays")
    name = models.CharField(max_length=20)
    species = models.ForeignKey(
        Species, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    preparation = models.CharField(max_length=10, choices=ReadMethod, default=ReadMethod.WHOLE)
    glycerin_parts = models.PositiveSmallIntegerField()
    ethanol_parts = models.PositiveSmallIntegerField()
    size = models.PositiveSmallIntegerField(help_text="How many vials it holds.")
    started_on = models.DateField()
    ready_on = models.DateField()
    # None: nothing is cleared too long without a medium.
    rinse_by = models.DateField(null=True, blank=True)
    dried_on = models.DateField(null=True, blank=True)
    started_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                "lake",
                Lower("name"),
                condition=Q(dried_on__isnull=True),
                name="clearing_tray_name_once_in_use",
            ),
            only_choices("preparation", ReadMethod, name="clearing_tray_preparation_known"),
            models.CheckConstraint(name="clearing_tray_holds_vials", condition=Q(size__gt=0)),
            models.CheckConstraint(
                name="clearing_tray_days_in_order",
                condition=Q(ready_on__gte=F("started_on"))
                & (Q(rinse_by__isnull=True) | Q(rinse_by__gte=F("ready_on"))),
            ),
        ]

    def __str__(self) -> str:
        return f"tray {self.name}"

    @property
    def has_medium(self) -> bool:
        return bool(self.glycerin_parts or self.ethanol_parts)


class TrayPlace(models.Model):
    """One vial in its place of a tray, and who scanned it in."""

    tray = models.ForeignKey(ClearingTray, on_delete=models.PROTECT, related_name="filled")
    place = models.PositiveSmallIntegerField()
    vial = models.ForeignKey(Vial, on_delete=models.PROTECT, related_name="tray_places")
    scanned_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    scanned_at = models.DateTimeField()
    # Where it was clearing before, so that the scan can be undone.
    moved_from = models.ForeignKey(
        ClearingTray, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["tray", "place"], name="tray_place_once"),
            models.UniqueConstraint(fields=["tray", "vial"], name="tray_vial_once"),
            models.CheckConstraint(name="tray_place_from_1", condition=Q(place__gt=0)),
        ]

    def __str__(self) -> str:
        return f"place {self.place} of tray {self.tray_id}"
