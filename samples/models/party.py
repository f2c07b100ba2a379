"""Parties: one trip of one boat, one creel interview or one net set."""

from django.db import models
from django.db.models import Q

from samples.models.choices import only_choices
from samples.models.lake import Arm, Lake, Reach, Season
from samples.models.revision import FindingsHistory
from samples.models.user import Phone, User


class Method(models.TextChoices):
    ANGLER_KEPT = "angler_kept", "Angler kept"
    ANGLER_RELEASED = "angler_released", "Angler released"
    TOURNAMENT = "tournament", "Tournament"
    CREEL = "creel", "Creel interview"
    TRAP_NET = "trap_net", "Trap net"
    ELECTROFISHING = "electrofishing", "Electrofishing"
    OTHER = "other", "Other"


class HowChosen(models.TextChoices):
    EVERY_FISH = "every_fish", "All fish in the box"
    EVERY_NTH = "every_nth", "Every second, third ... fish"
    SIZE_ASKED = "size_asked", "A requested size"
    BIGGEST = "biggest", "The largest"
    NOT_KNOWN = "not_known", "Not known"


class Preservation(models.TextChoices):
    FRESH = "fresh", "Fresh"
    ICED = "iced", "On ice"
    FROZEN = "frozen", "Frozen"
    NOT_KNOWN = "not_known", "Not known"


class Donor(models.Model):
    """Who gave the fish. The name stands in this row alone, so that it can be taken out."""

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="donors")
    name = models.CharField(max_length=80, blank=True)
    person = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="donor_rows"
    )
    forgotten_at = models.DateTimeField(
        null=True, blank=True, help_text="When the name was taken out because the donor asked."
    )
    forgotten_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lake", "person"], name="donor_once_per_lake"),
            models.CheckConstraint(
                name="donor_forgotten_by_somebody",
                condition=Q(forgotten_at__isnull=True, forgotten_by__isnull=True)
                | Q(forgotten_at__isnull=False, forgotten_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"donor {self.pk}"


class Party(models.Model):
    """How the fish of one party came to be sampled. It is the unit that is resampled.

    ``arm`` and ``reach`` are those of the present leg: when the boat moves, a new leg
    begins and the fish already logged keep the arm they were logged in.
    """

    party_id = models.UUIDField(unique=True, editable=False)
    fingerprint = models.CharField(max_length=64, editable=False)
    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="parties")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="parties")
    arm = models.ForeignKey(Arm, on_delete=models.PROTECT, related_name="+")
    reach = models.ForeignKey(
        Reach, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    leg = models.PositiveSmallIntegerField(default=1)
    # Empty only for imported fish of which no more than the season is known.
    caught_on = models.DateField(null=True, blank=True)
    method = models.CharField(max_length=15, choices=Method)
    how_chosen = models.CharField(max_length=10, choices=HowChosen)
    every_nth = models.PositiveSmallIntegerField(null=True, blank=True)
    fish_in_box = models.PositiveSmallIntegerField(null=True, blank=True)
    kept = models.CharField(max_length=9, choices=Preservation, default=Preservation.NOT_KNOWN)
    net_nights = models.PositiveSmallIntegerField(null=True, blank=True)
    net_mesh_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    donor = models.ForeignKey(
        Donor, null=True, blank=True, on_delete=models.PROTECT, related_name="parties"
    )
    interview_key = models.CharField(max_length=40, blank=True)
    slip_answers = models.JSONField(default=list, blank=True)
    opened_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="parties")
    phone = models.ForeignKey(
        Phone, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    opened_at = models.DateTimeField(help_text="By the phone's clock.")
    received_at = models.DateTimeField(help_text="By the server's clock.")
    closed_at = models.DateTimeField(null=True, blank=True)
    count_in_hand = models.PositiveSmallIntegerField(null=True, blank=True)
    last_number_said = models.CharField(max_length=20, blank=True)
    history = FindingsHistory()

    class Meta:
        verbose_name_plural = "parties"
        indexes = [
            models.Index(fields=["opened_by", "closed_at"], name="party_open_of_person"),
            models.Index(fields=["lake", "season"], name="party_of_season"),
        ]
        constraints = [
            only_choices("method", Method, name="party_method_known"),
            only_choices("how_chosen", HowChosen, name="party_how_chosen_known"),
            only_choices("kept", Preservation, name="party_kept_known"),
            # A plain date: date parts of an instant would bake a time zone into the table.
            models.CheckConstraint(
                name="party_caught_on_in_living_memory",
                condition=Q(caught_on__isnull=True) | Q(caught_on__gte="1950-01-01"),
            ),
        ]

    def __str__(self) -> str:
        return f"party {self.party_id}"


class UnmeasuredCount(models.Model):
    """Fish of a party that were counted and not measured."""

    entry_id = models.UUIDField(unique=True, editable=False)
    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="unmeasured")
    species = models.ForeignKey("Species", on_delete=models.PROTECT, related_name="+")
    count = models.PositiveSmallIntegerField()
    logged_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    logged_at = models.DateTimeField()
    received_at = models.DateTimeField()
    withdrawn = models.BooleanField(default=False)
    history = FindingsHistory(lake="party__lake")

    def __str__(self) -> str:
        return f"{self.count} unmeasured in party {self.party_id}"
