"""Fish, as they were written down at the ramp or read from a spreadsheet."""

from django.db import models
from django.db.models import Q

from samples.models.choices import only_choices
from samples.models.lake import Arm, Lake, Reach, Season
from samples.models.party import Donor, Method, Party
from samples.models.revision import FindingsHistory
from samples.models.species import Species
from samples.models.user import Phone, User
from samples.models.vial import Vial


class Sex(models.TextChoices):
    FEMALE = "F", "Female"
    MALE = "M", "Male"
    IMMATURE = "I", "Immature"
    # A regressed summer adult is not known, which is another thing than immature.
    NOT_KNOWN = "U", "Not known"

    @property
    def in_words(self) -> str:
        """Return it within a line: beside a species, "not known" would be about that."""
        return "sex not known" if self is Sex.NOT_KNOWN else str(self.label).lower()


class Progress(models.IntegerChoices):
    """How far a fish's sample has come. Written by `samples.models.progress` alone."""

    MEASURED = 0, "Measured only"
    LOGGED = 1, "Logged"
    RECEIVED = 2, "Received"
    AGE_AS_GIVEN = 3, "Age imported"
    ONE_READER = 4, "Aged, one reader"
    AGED = 5, "Aged"


class ToldBy(models.TextChoices):
    NOT_SAID = "", "Not recorded"
    PATTERN = "pattern", "Pattern"
    SPINES = "spines", "Spines"
    BOTH = "both", "Pattern and spines"
    GENETICS = "genetics", "Genetics"


# Wide enough for any odd length that somebody confirms; beyond it, it is no fish.
LEAST_LENGTH_HUNDREDTHS_MM = 500
MOST_LENGTH_HUNDREDTHS_MM = 500_000
LONGEST_TAG = 20
LONGEST_NOTE = 300


class Fish(models.Model):
    """One fish. A fish without a vial was measured only, and never has a reading.

    Lake, season, arm, method and donor repeat what the party says: coverage counts them
    from one index without visiting any other row. The services keep them true in the
    same transaction.
    """

    # Made where the fish was written down: it is how a second sending is recognised.
    entry_id = models.UUIDField(unique=True, editable=False)
    fingerprint = models.CharField(max_length=64, editable=False)
    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="fish")
    leg = models.PositiveSmallIntegerField(default=1)
    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="fish")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="fish")
    arm = models.ForeignKey(Arm, on_delete=models.PROTECT, related_name="fish")
    reach = models.ForeignKey(
        Reach, null=True, blank=True, on_delete=models.PROTECT, related_name="fish"
    )
    donor = models.ForeignKey(
        Donor, null=True, blank=True, on_delete=models.PROTECT, related_name="fish"
    )
    method = models.CharField(max_length=15, choices=Method)
    caught_on = models.DateField(null=True, blank=True)
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="fish")
    told_by = models.CharField(max_length=8, choices=ToldBy, default="", blank=True)
    spines = models.PositiveSmallIntegerField(null=True, blank=True)
    sex = models.CharField(max_length=1, choices=Sex)
    length_hundredths_mm = models.PositiveIntegerField()
    length_as_measured = models.CharField(max_length=10)
    length_unit_as_measured = models.CharField(max_length=2, choices=Lake.Unit)
    weight_g = models.PositiveIntegerField(null=True, blank=True)
    tag_number = models.CharField(max_length=LONGEST_TAG, blank=True, default="", db_default="")
    note = models.CharField(max_length=LONGEST_NOTE, blank=True, default="", db_default="")
    # Empty for a fish that was only measured, and for one whose vial is being settled.
    vial = models.OneToOneField(
        Vial, null=True, blank=True, on_delete=models.PROTECT, related_name="fish"
    )
    vial_number_said = models.CharField(max_length=20, blank=True)
    progress = models.PositiveSmallIntegerField(choices=Progress, default=Progress.MEASURED)
    withdrawn = models.BooleanField(default=False)
    slip_answers = models.JSONField(default=list, blank=True)
    logged_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="fish_logged")
    phone = models.ForeignKey(
        Phone, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    logged_at = models.DateTimeField(help_text="By the phone's clock.")
    received_at = models.DateTimeField(help_text="By the server's clock.")
    history = FindingsHistory()

    class Meta:
        verbose_name_plural = "fish"
        indexes = [
            # Coverage reads this index and nothing else. Plain columns: on SQLite there
            # are no included ones. The order is that of the usual filters.
            models.Index(
                fields=[
                    "lake",
                    "season",
                    "species",
                    "withdrawn",
                    "arm",
                    "length_hundredths_mm",
                    "progress",
                    "sex",
                    "method",
                    "reach",
                    "donor",
                ],
                name="fish_coverage",
            ),
            models.Index(fields=["logged_by", "received_at"], name="fish_of_person"),
        ]
        constraints = [
            models.CheckConstraint(
                name="fish_length_5_mm_to_5_m",
                condition=Q(
                    length_hundredths_mm__gte=LEAST_LENGTH_HUNDREDTHS_MM,
                    length_hundredths_mm__lte=MOST_LENGTH_HUNDREDTHS_MM,
                ),
            ),
            only_choices("sex", Sex, name="fish_sex_known"),
            only_choices("method", Method, name="fish_method_known"),
            only_choices("told_by", ToldBy, name="fish_told_by_known"),
            only_choices("length_unit_as_measured", Lake.Unit, name="fish_length_unit_known"),
            models.CheckConstraint(
                name="fish_caught_on_in_living_memory",
                condition=Q(caught_on__isnull=True) | Q(caught_on__gte="1950-01-01"),
            ),
            models.CheckConstraint(
                name="fish_withdrawn_leaves_its_vial_free",
                condition=Q(withdrawn=False) | Q(vial__isnull=True),
            ),
            models.CheckConstraint(
                name="fish_progress_known",
                condition=Q(progress__gte=min(Progress), progress__lte=max(Progress)),
            ),
        ]

    def __str__(self) -> str:
        return f"fish {self.entry_id}"

    @property
    def sex_in_words(self) -> str:
        return Sex(self.sex).in_words
