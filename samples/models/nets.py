"""Nets: sets that are planned, and fish of a set that were counted by length."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from samples.models.lake import Arm, Reach, Season
from samples.models.party import Method, Party
from samples.models.revision import FindingsHistory
from samples.models.species import Species
from samples.models.user import User

MOST_PLANNED_SETS = 60
# Ways of capture whose effort is counted in net nights.
NET_METHODS = (Method.TRAP_NET, Method.OTHER)


class PlannedSets(models.Model):
    """Net sets planned at one station of a season: an arm, or one reach of it."""

    season = models.ForeignKey(Season, on_delete=models.CASCADE, related_name="planned_sets")
    arm = models.ForeignKey(Arm, on_delete=models.CASCADE, related_name="+")
    reach = models.ForeignKey(
        Reach, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    sets = models.PositiveSmallIntegerField()
    net_nights = models.PositiveSmallIntegerField(help_text="Of each set.")
    net_mesh_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "planned sets"
        constraints = [
            # Two of them, since SQLite takes every empty reach for another one.
            models.UniqueConstraint(
                fields=["season", "arm", "reach"],
                condition=Q(reach__isnull=False),
                name="planned_sets_once_a_reach",
            ),
            models.UniqueConstraint(
                fields=["season", "arm"],
                condition=Q(reach__isnull=True),
                name="planned_sets_once_an_arm",
            ),
            models.CheckConstraint(
                name="planned_sets_some",
                condition=Q(sets__gte=1, sets__lte=MOST_PLANNED_SETS, net_nights__gte=1),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sets} planned sets in {self.arm}"


class LengthCount(models.Model):
    """Fish of a net set that were counted into a length bin, not measured to the tenth."""

    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="length_counts")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    from_hundredths_mm = models.PositiveIntegerField()
    below_hundredths_mm = models.PositiveIntegerField()
    count = models.PositiveSmallIntegerField()
    logged_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    logged_at = models.DateTimeField(help_text="By the server's clock.")
    history = FindingsHistory(lake="party__lake")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["party", "species", "from_hundredths_mm"],
                name="length_count_once_a_bin",
            ),
            models.CheckConstraint(
                name="length_count_range_in_order",
                condition=Q(below_hundredths_mm__gt=F("from_hundredths_mm")),
            ),
            models.CheckConstraint(name="length_count_some", condition=Q(count__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.count} fish of party {self.party_id}"
