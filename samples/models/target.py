"""How many aged fish are wanted, by length."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from samples.models.lake import Arm, Season
from samples.models.species import Species


class Target(models.Model):
    """Aged fish wanted in a range of lengths: lake-wide, or at least so many from one arm."""

    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="targets")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    arm = models.ForeignKey(
        Arm,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text="Empty for the lake-wide number; set for an arm's floor.",
    )
    from_hundredths_mm = models.PositiveIntegerField()
    below_hundredths_mm = models.PositiveIntegerField()
    wanted = models.PositiveSmallIntegerField()
    from_nets = models.PositiveSmallIntegerField(
        default=0, db_default=0, help_text="Of those wanted, how many nets are to bring."
    )
    females = models.PositiveSmallIntegerField(
        default=0, db_default=0, help_text="Of those wanted, females at least."
    )
    males = models.PositiveSmallIntegerField(
        default=0, db_default=0, help_text="Of those wanted, males at least."
    )
    history = HistoricalRecords()

    class Meta:
        constraints = [
            # Two of them, since SQLite takes every empty arm for another one.
            models.UniqueConstraint(
                fields=["season", "species", "arm", "from_hundredths_mm"],
                condition=Q(arm__isnull=False),
                name="target_floor_once_per_bin",
            ),
            models.UniqueConstraint(
                fields=["season", "species", "from_hundredths_mm"],
                condition=Q(arm__isnull=True),
                name="target_lake_wide_once_per_bin",
            ),
            models.CheckConstraint(
                name="target_range_in_order",
                condition=Q(below_hundredths_mm__gt=F("from_hundredths_mm")),
            ),
            models.CheckConstraint(
                name="target_nets_share_within_wanted",
                condition=Q(from_nets__lte=F("wanted")),
            ),
            models.CheckConstraint(
                name="target_sexes_within_wanted",
                condition=Q(wanted__gte=F("females") + F("males")),
            ),
        ]

    def __str__(self) -> str:
        return f"target {self.pk}"
