"""Waters: a lake, its arms and reaches, its seasons, and the rules in force on it."""

import secrets
from typing import TypeAlias

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.revision import FindingsHistory


class LakeUnit(models.TextChoices):
    INCH = "in", "inches, to the tenth"
    MILLIMETRE = "mm", "millimeters"


class LakeWeightUnit(models.TextChoices):
    GRAM = "g", "grams"
    POUND_AND_OUNCE = "lb_oz", "pounds and ounces"
    POUND = "lb", "pounds, to the hundredth"


class OneReading(models.TextChoices):
    """When the age by a single reader is the age of a fish."""

    ALWAYS = "always", "Always"
    BELOW = "below", "For small or young fish"
    NEVER = "never", "Never"


def make_slip_key() -> str:
    """Return a key from which the words on anglers' slips follow."""
    return secrets.token_hex(32)


class Lake(models.Model):
    """One fishery. Lengths and weights are typed and shown in its units; dates are judged in its
    zone. ``office_phone`` and ``office_address`` stand under Help on every phone that logs here.
    ``one_reading_suffices`` says for which fish one reader's age is enough.
    """

    Unit: TypeAlias = LakeUnit

    OneReading: TypeAlias = OneReading

    WeightUnit: TypeAlias = LakeWeightUnit

    name = models.CharField(max_length=80, unique=True)
    slug = models.SlugField(max_length=80, unique=True)
    length_unit = models.CharField(max_length=2, choices=Unit, default=Unit.INCH)
    weight_unit = models.CharField(
        max_length=5, choices=WeightUnit, default=WeightUnit.GRAM, db_default=LakeWeightUnit.GRAM
    )
    time_zone = models.CharField(max_length=64, default="America/Chicago")
    office_phone = models.CharField(max_length=40, blank=True, default="", db_default="")
    office_address = models.CharField(max_length=200, blank=True, default="", db_default="")
    one_reading_suffices = models.CharField(
        max_length=6, choices=OneReading, default=OneReading.ALWAYS, db_default=OneReading.ALWAYS
    )
    # Both hold where both are set; a fish of this length is not below it.
    one_reading_below_hundredths_mm = models.PositiveIntegerField(null=True, blank=True)
    one_reading_most_annuli = models.PositiveSmallIntegerField(null=True, blank=True)
    suggest_annuli = models.BooleanField(
        default=False,
        db_default=False,
        help_text="Readers are offered likely annuli on pictures, to accept or move.",
    )
    shares_pictures = models.BooleanField(
        default=False,
        db_default=False,
        help_text="Donors see the otolith picture of their own fish.",
    )
    mails_donors = models.BooleanField(
        default=False,
        db_default=False,
        help_text="Messages may be mailed to donors who gave an address.",
    )
    # Kept for as long as slips are about: another key would make every one of them wrong.
    slip_key = models.CharField(
        max_length=64, blank=True, default=make_slip_key, db_default="", editable=False
    )
    history = FindingsHistory(lake="pk", without=("slip_key",))

    class Meta:
        constraints = [
            only_choices("length_unit", LakeUnit, name="lake_length_unit_known"),
            only_choices("weight_unit", LakeWeightUnit, name="lake_weight_unit_known"),
            only_choices("one_reading_suffices", OneReading, name="lake_one_reading_known"),
            models.CheckConstraint(
                name="lake_one_reading_limits_only_below",
                condition=Q(
                    ~Q(one_reading_suffices="below"),
                    one_reading_below_hundredths_mm__isnull=True,
                    one_reading_most_annuli__isnull=True,
                )
                | Q(
                    Q(one_reading_below_hundredths_mm__isnull=False)
                    | Q(one_reading_most_annuli__isnull=False),
                    one_reading_suffices="below",
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Arm(models.Model):
    """A part of the lake whose fish are told apart. ``whole_lake`` stands for no arm known."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="arms")
    name = models.CharField(max_length=40)
    position = models.PositiveSmallIntegerField(default=0)
    whole_lake = models.BooleanField(default=False)
    history = FindingsHistory()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lake", "name"], name="arm_name_once_per_lake")
        ]

    def __str__(self) -> str:
        return self.name


class Reach(models.Model):
    """A stretch of an arm: lower, middle, upper. No position finer than this is ever kept."""

    arm = models.ForeignKey(Arm, on_delete=models.PROTECT, related_name="reaches")
    name = models.CharField(max_length=40)
    position = models.PositiveSmallIntegerField(default=0)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "reaches"
        constraints = [
            models.UniqueConstraint(fields=["arm", "name"], name="reach_name_once_per_arm")
        ]

    def __str__(self) -> str:
        return self.name


class NumberYear(models.Model):
    """The run of vial numbers of one year, shared by every lake of the installation.

    The row is locked while numbers are taken from it, so that none is given out twice.
    """

    year = models.PositiveSmallIntegerField(
        unique=True, validators=[MinValueValidator(1950), MaxValueValidator(2099)]
    )
    digits = models.PositiveSmallIntegerField(default=4)
    last_sequence = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="number_year_digits_4_to_6", condition=Q(digits__gte=4, digits__lte=6)
            )
        ]

    def __str__(self) -> str:
        return f"numbers of {self.year}"


class Season(models.Model):
    """A sampling season. A winter season crosses New Year; its numbers carry one year."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="seasons")
    name = models.CharField(max_length=40)
    number_year = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1950), MaxValueValidator(2099)]
    )
    starts_on = models.DateField()
    ends_on = models.DateField()
    permit_number = models.CharField(max_length=60, blank=True)
    permit_holder = models.CharField(max_length=80, blank=True)
    permit_until = models.DateField(null=True, blank=True)
    possession_reminder = models.CharField(max_length=300, blank=True)
    carcass_note = models.CharField(max_length=300, blank=True, default="", db_default="")
    history = FindingsHistory()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lake", "name"], name="season_name_once_per_lake"),
            models.CheckConstraint(
                name="season_ends_after_it_starts", condition=Q(ends_on__gt=F("starts_on"))
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Regulation(models.Model):
    """What the rules on this lake were from a date on, in the authority's own words."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="regulations")
    species = models.ForeignKey(
        "Species", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    in_force_from = models.DateField()
    words = models.CharField(max_length=300)
    minimum_length_hundredths_mm = models.PositiveIntegerField(null=True, blank=True)
    daily_limit = models.PositiveSmallIntegerField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True)
    history = FindingsHistory()

    def __str__(self) -> str:
        return f"regulation of lake {self.lake_id} from {self.in_force_from}"
