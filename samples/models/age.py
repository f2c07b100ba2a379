"""Ages: what the readings of a fish come to, and ages that came with a spreadsheet."""

from typing import TypeAlias

from django.db import models
from django.db.models import Q

from samples.models.choices import only_choices
from samples.models.fish import Fish
from samples.models.revision import FindingsHistory
from samples.models.user import User


class AgeStanding(models.TextChoices):
    ONE_READER = "one_reader", "One reader"
    AGREED = "agreed", "Consensus"
    DECIDED = "decided", "Decided by the biologist"
    TO_SETTLE = "to_settle", "No consensus"


class Age(models.Model):
    """The age of one fish as it stands now, with the rule that made it.

    ``age_years`` is empty while readings disagree or the rule leaves it open.
    """

    Standing: TypeAlias = AgeStanding

    fish = models.OneToOneField(Fish, on_delete=models.PROTECT, related_name="age")
    standing = models.CharField(max_length=10, choices=Standing)
    age_years = models.PositiveSmallIntegerField(null=True, blank=True)
    year_class = models.SmallIntegerField(null=True, blank=True)
    decimal_age_years = models.FloatField(null=True, blank=True)
    growing_seasons = models.PositiveSmallIntegerField(null=True, blank=True)
    rule = models.CharField(max_length=40, help_text="Code of the row of the ageing table.")
    flags = models.JSONField(default=list, blank=True)
    readers = models.PositiveSmallIntegerField(default=0)
    decided_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    worked_out_at = models.DateTimeField()
    history = FindingsHistory(lake="fish__lake")

    class Meta:
        constraints = [
            only_choices("standing", AgeStanding, name="age_standing_known"),
            models.CheckConstraint(
                name="age_decided_at_and_by_together",
                condition=Q(decided_at__isnull=True, decided_by__isnull=True)
                | Q(decided_at__isnull=False, decided_by__isnull=False),
            ),
            models.CheckConstraint(
                name="age_to_settle_has_no_age",
                condition=Q(standing="to_settle", age_years__isnull=True)
                | (~Q(standing="to_settle") & Q(age_years__isnull=False)),
            ),
            models.CheckConstraint(
                name="age_decimal_not_negative",
                condition=Q(decimal_age_years__isnull=True) | Q(decimal_age_years__gte=0),
            ),
        ]

    def __str__(self) -> str:
        return f"age of fish {self.fish_id}"


class AgeAsGiven(models.Model):
    """An age that came with a spreadsheet. No rule of ours was applied to it."""

    fish = models.OneToOneField(Fish, on_delete=models.PROTECT, related_name="age_as_given")
    age_years = models.PositiveSmallIntegerField()
    structure = models.CharField(max_length=20)
    source = models.CharField(max_length=200)
    history = FindingsHistory(lake="fish__lake")

    class Meta:
        verbose_name_plural = "ages as given"

    def __str__(self) -> str:
        return f"age as given of fish {self.fish_id}"
