"""Figures that come from elsewhere: tags, creel surveys, the literature. Each with its source.

They are what an answer about a length limit rests on beside the lake's own fish. None is worked
out here, and an older figure stays when a newer one is entered.
"""

from django.db import models
from django.db.models import F, Q

from samples.models.lake import Arm, Lake, Season
from samples.models.revision import FindingsHistory
from samples.models.species import Species
from samples.models.user import User


class FromElsewhere(models.Model):
    """Where a figure comes from, of when it is, and who entered it."""

    source = models.CharField(max_length=300, help_text="Report, paper or survey, with its year.")
    as_of = models.DateField(help_text="Date of the estimate.")
    entered_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()

    class Meta:
        abstract = True


def share(**kwargs: object) -> models.DecimalField:  # type: ignore[type-arg]
    """Make a column of a share between 0 and 1, to a hundredth of a percent."""
    return models.DecimalField(max_digits=5, decimal_places=4, **kwargs)  # type: ignore[arg-type]


class TagReturns(FromElsewhere):
    """Tags put out and sent back in one season: how many of the fish are taken in a year."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="tag_returns")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="+")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    arm = models.ForeignKey(Arm, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    tags_out = models.PositiveIntegerField()
    returned = models.PositiveIntegerField()
    reporting_least = share()
    reporting_most = share()
    tags_kept = share(default=1)
    survived_tagging = share(default=1)
    # Tags of fish that were let go again: reported, and no harvest.
    returned_released = models.PositiveIntegerField(default=0, db_default=0)
    # Tags with a reward so high that nobody keeps one back, put out beside the others.
    high_reward_out = models.PositiveIntegerField(null=True, blank=True)
    high_reward_returned = models.PositiveIntegerField(null=True, blank=True)
    history = FindingsHistory()

    class Meta:
        verbose_name_plural = "tag returns"
        constraints = [
            models.CheckConstraint(
                name="tags_returned_at_most_out",
                condition=Q(tags_out__gt=0, returned__lte=F("tags_out")),
            ),
            models.CheckConstraint(
                name="tags_reporting_in_order",
                condition=Q(
                    reporting_least__gt=0,
                    reporting_most__gte=F("reporting_least"),
                    reporting_most__lte=1,
                ),
            ),
            models.CheckConstraint(
                name="tags_all_returned_at_most_out",
                condition=Q(tags_out__gte=F("returned") + F("returned_released")),
            ),
            models.CheckConstraint(
                name="tags_high_reward_together",
                condition=Q(high_reward_out__isnull=True, high_reward_returned__isnull=True)
                | Q(
                    high_reward_out__gt=0,
                    high_reward_returned__gte=0,
                    high_reward_returned__lte=F("high_reward_out"),
                ),
            ),
            models.CheckConstraint(
                name="tags_shares_above_0_to_1",
                condition=Q(
                    tags_kept__gt=0,
                    tags_kept__lte=1,
                    survived_tagging__gt=0,
                    survived_tagging__lte=1,
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.returned} of {self.tags_out} tags"

    @property
    def returns(self) -> int:
        """Count every standard tag that was sent back, of fish kept and released."""
        return self.returned + self.returned_released


class NaturalDeath(FromElsewhere):
    """Share of the fish that die of natural causes in a year, as a range."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="natural_deaths")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    arm = models.ForeignKey(Arm, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    least = share()
    middle = share()
    most = share()
    oldest_years = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Maximum age in a lightly fished population."
    )
    history = FindingsHistory()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="natural_death_in_order",
                condition=Q(least__gt=0, middle__gte=F("least"), most__gte=F("middle"), most__lt=1),
            )
        ]

    def __str__(self) -> str:
        return f"natural mortality {self.least} to {self.most}"


class ReleaseDeath(FromElsewhere):
    """Share of released fish that die of it, as a range, by season and depth in words."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="release_deaths")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    when = models.CharField(max_length=120, blank=True, help_text="Season and depth, in words.")
    least = share()
    middle = share()
    most = share()
    history = FindingsHistory()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="release_death_in_order",
                condition=Q(
                    least__gte=0, middle__gte=F("least"), most__gte=F("middle"), most__lte=1
                ),
            )
        ]

    def __str__(self) -> str:
        return f"hooking mortality {self.least} to {self.most}"


class CreelFigures(FromElsewhere):
    """What a creel survey found: effort, catch, how much is let go, the smallest size kept."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="creel_figures")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="+")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    arm = models.ForeignKey(Arm, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    angler_hours = models.PositiveIntegerField(null=True, blank=True)
    caught = models.PositiveIntegerField(null=True, blank=True)
    released = share(null=True, blank=True)
    smallest_kept_hundredths_mm = models.PositiveIntegerField(null=True, blank=True)
    history = FindingsHistory()

    class Meta:
        verbose_name_plural = "creel figures"
        constraints = [
            models.CheckConstraint(
                name="creel_released_0_to_1",
                condition=Q(released__isnull=True) | Q(released__gte=0, released__lte=1),
            )
        ]

    def __str__(self) -> str:
        return f"creel of season {self.season_id}"
