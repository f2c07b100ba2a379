"""What those who log fish were asked for, as the biologist worded it."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from samples.models.lake import Arm, Lake, Season
from samples.models.species import Species
from samples.models.user import User

LONGEST_WORDS = 120
LONGEST_ENOUGH = 300
# Species, arm (none: any), from which length and below which, in hundredths of a mm.
FishAsked = tuple[int, int | None, int, int | None]


class Ask(models.Model):
    """One list that went out: it holds until the next one, or until it is stopped.

    Its words stay as they were sent. A list that is sent after a change is another one.
    """

    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="asks")
    enough = models.CharField(
        max_length=LONGEST_ENOUGH, blank=True, help_text="What there is enough of, as a sentence."
    )
    is_public = models.BooleanField(
        default=False, help_text="Shown without a sign-in, and in the web feed."
    )
    people_asked = models.PositiveIntegerField(help_text="Who could log fish when it went out.")
    asked = models.ManyToManyField(
        User, blank=True, related_name="+", help_text="Who they were; none for lists of older days."
    )
    sent_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    sent_at = models.DateTimeField()
    stopped_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    stopped_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        indexes = [models.Index(fields=["season", "sent_at"], name="ask_by_season")]
        constraints = [
            models.CheckConstraint(
                name="ask_stopped_by_somebody",
                condition=Q(stopped_at__isnull=True, stopped_by__isnull=True)
                | Q(stopped_at__gte=F("sent_at"), stopped_by__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"ask {self.pk}"

    @property
    def lake(self) -> Lake:
        return self.season.lake


class AskedFish(models.Model):
    """Fish that a line of the list asks for: of one species, from one arm or from any.

    Those with the same place in the list are one line there, and have its words.
    """

    ask = models.ForeignKey(Ask, on_delete=models.CASCADE, related_name="fish")
    place = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=LONGEST_WORDS)
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    arm = models.ForeignKey(
        Arm,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text="Empty where any arm will do.",
    )
    from_hundredths_mm = models.PositiveIntegerField(help_text="0 where any shorter fish will do.")
    below_hundredths_mm = models.PositiveIntegerField(
        null=True, blank=True, help_text="Empty where any longer fish will do."
    )
    wanted = models.PositiveIntegerField()

    class Meta:
        verbose_name_plural = "asked fish"
        constraints = [
            models.UniqueConstraint(
                fields=["ask", "place", "species", "arm"],
                condition=Q(arm__isnull=False),
                name="asked_fish_of_arm_once_a_line",
            ),
            models.UniqueConstraint(
                fields=["ask", "place", "species"],
                condition=Q(arm__isnull=True),
                name="asked_fish_of_any_arm_once_a_line",
            ),
            models.CheckConstraint(
                name="asked_fish_range_in_order",
                condition=Q(below_hundredths_mm__isnull=True)
                | Q(below_hundredths_mm__gt=F("from_hundredths_mm")),
            ),
        ]

    def __str__(self) -> str:
        return self.words

    @property
    def key(self) -> FishAsked:
        """Return what is asked for, however many."""
        return self.species_id, self.arm_id, self.from_hundredths_mm, self.below_hundredths_mm
