"""Kinds of fish, how they are told apart, and what is usual for each at a lake."""

from copy import copy
from typing import TypeAlias

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.revision import FindingsHistory
from samples.rules.season_days import CALENDAR_DAYS, MonthDay, SpeciesCalendar

month_day = RegexValidator(
    r"^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$", "Enter month and day, such as 04-01 for April 1."
)


class SpeciesGroup(models.Model):
    """Species that are mistaken for one another, and the helper that tells them apart."""

    name = models.CharField(max_length=60, unique=True)
    helper_heading = models.CharField(max_length=120, blank=True)
    helper_words = models.CharField(max_length=400, blank=True)
    helper_caution = models.CharField(max_length=400, blank=True)

    def __str__(self) -> str:
        return self.name


class SpeciesKind(models.TextChoices):
    SPECIES = "species", "Species"
    HYBRID = "hybrid", "Hybrid"
    NOT_SURE = "not_sure", "Not sure"


class Species(models.Model):
    """A species, a hybrid of two, or "not sure" within a group."""

    Kind: TypeAlias = SpeciesKind

    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=60, unique=True)
    short_name = models.CharField(max_length=24)
    scientific_name = models.CharField(max_length=80, blank=True)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.SPECIES)
    group = models.ForeignKey(
        SpeciesGroup, null=True, blank=True, on_delete=models.PROTECT, related_name="species"
    )
    parent_a = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    parent_b = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    plausible_min_hundredths_mm = models.PositiveIntegerField()
    plausible_max_hundredths_mm = models.PositiveIntegerField()
    plausible_max_age_years = models.PositiveSmallIntegerField()
    spines_min = models.PositiveSmallIntegerField(null=True, blank=True)
    spines_max = models.PositiveSmallIntegerField(null=True, blank=True)
    marks = models.CharField(max_length=120, blank=True, help_text="How it looks, in a few words.")
    history = FindingsHistory(lake=None)

    class Meta:
        verbose_name_plural = "species"
        constraints = [
            only_choices("kind", SpeciesKind, name="species_kind_known"),
            models.CheckConstraint(
                name="species_length_range_in_order",
                condition=Q(plausible_max_hundredths_mm__gt=F("plausible_min_hundredths_mm")),
            ),
            models.CheckConstraint(
                name="species_hybrid_has_two_parents",
                condition=~Q(kind="hybrid") | Q(parent_a__isnull=False, parent_b__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.name


# What a lake may say of a species in place of the shared list.
OWN_VALUES = (
    "plausible_min_hundredths_mm",
    "plausible_max_hundredths_mm",
    "plausible_max_age_years",
    "spines_min",
    "spines_max",
    "marks",
)


class LakeSpecies(models.Model):
    """A species as it is sampled at one lake: its place on the form, bins and calendar.

    Month and day are kept as ``MM-DD``. The windows are the lake's own to set: margin
    codes by month say when the annulus forms there.
    """

    lake = models.ForeignKey("Lake", on_delete=models.PROTECT, related_name="lake_species")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField(default=0)
    bin_width_hundredths_mm = models.PositiveIntegerField(default=2540)
    annulus_starts = models.CharField(max_length=5, default="04-01", validators=[month_day])
    annulus_ends = models.CharField(max_length=5, default="06-30", validators=[month_day])
    hatch = models.CharField(max_length=5, default="05-15", validators=[month_day])
    growth_starts = models.CharField(max_length=5, default="04-15", validators=[month_day])
    growth_ends = models.CharField(max_length=5, default="10-15", validators=[month_day])
    age_0_below_hundredths_mm = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text="A fish without annuli caught after hatching is age 0 below this length.",
    )
    early_annulus_counts_for_next_year = models.BooleanField(
        default=False,
        help_text="On or after October 1 an annulus at the edge counts as next year's.",
    )
    targets_by_sex = models.BooleanField(
        default=False,
        db_default=False,
        help_text="Targets can ask for so many females and males, where sexes grow differently.",
    )
    # The lake's own values; where one is empty, that of the shared species list holds.
    plausible_min_hundredths_mm = models.PositiveIntegerField(null=True, blank=True)
    plausible_max_hundredths_mm = models.PositiveIntegerField(null=True, blank=True)
    plausible_max_age_years = models.PositiveSmallIntegerField(null=True, blank=True)
    spines_min = models.PositiveSmallIntegerField(null=True, blank=True)
    spines_max = models.PositiveSmallIntegerField(null=True, blank=True)
    marks = models.CharField(max_length=120, null=True, blank=True)  # noqa: DJ001 - null: not set
    history = FindingsHistory()

    class Meta:
        verbose_name_plural = "lake species"
        constraints = [
            models.UniqueConstraint(fields=["lake", "species"], name="lake_species_once"),
            models.CheckConstraint(
                name="lake_species_bin_width_above_zero",
                condition=Q(bin_width_hundredths_mm__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return f"species {self.species_id} at lake {self.lake_id}"

    @property
    def calendar(self) -> SpeciesCalendar:
        """Return the days on which the aging of the species turns at this lake.

        :raises ValueError: if they do not follow each other
        """
        days = {name: MonthDay.parse(getattr(self, name)) for name in CALENDAR_DAYS}
        return SpeciesCalendar(**days)

    @property
    def species_here(self) -> Species:
        """Return the species as this lake has it: its own values in place of the shared ones.

        It is for reading, never for saving: the shared list is the administrator's.
        """
        here = copy(self.species)
        for name in OWN_VALUES:
            own = getattr(self, name)
            if own is not None:
                setattr(here, name, own)
        return here


class LakeGroup(models.Model):
    """A lake's own words of the helper that tells the species of a group apart."""

    lake = models.ForeignKey("Lake", on_delete=models.CASCADE, related_name="groups")
    group = models.ForeignKey(SpeciesGroup, on_delete=models.CASCADE, related_name="at_lakes")
    helper_heading = models.CharField(max_length=120, blank=True)
    helper_words = models.CharField(max_length=400, blank=True)
    helper_caution = models.CharField(max_length=400, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lake", "group"], name="lake_group_once"),
        ]

    def __str__(self) -> str:
        return f"group {self.group_id} at lake {self.lake_id}"

    @property
    def group_here(self) -> SpeciesGroup:
        """Return the group with this lake's words in place of the shared ones;
        for reading alone.
        """
        here = copy(self.group)
        here.helper_heading, here.helper_words = self.helper_heading, self.helper_words
        here.helper_caution = self.helper_caution
        return here
