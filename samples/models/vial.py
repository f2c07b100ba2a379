"""Numbered vials. A number exists before any fish, and is never used twice."""

from typing import TypeAlias

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.lake import Lake, Season
from samples.models.user import User


class ArchiveBox(models.Model):
    """A box of the archive: rows named by letters, slots in a row by numbers.

    Its name is written on it and never changes.
    """

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="archive_boxes")
    name = models.CharField(max_length=20)
    rows = models.PositiveSmallIntegerField(default=10)
    columns = models.PositiveSmallIntegerField(default=10)
    place = models.CharField(max_length=100, blank=True, help_text="Where the box is kept.")
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "archive boxes"
        constraints = [
            models.UniqueConstraint("lake", Lower("name"), name="archive_box_name_once"),
            models.CheckConstraint(
                name="archive_box_has_slots",
                condition=Q(rows__gte=1, rows__lte=26, columns__gte=1, columns__lte=30),
            ),
        ]

    def __str__(self) -> str:
        return f"box {self.name}"


class LabelRun(models.Model):
    """Numbers that were made together and printed on labels."""

    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="label_runs")
    first_sequence = models.PositiveIntegerField()
    count = models.PositiveIntegerField()
    stock = models.CharField(max_length=20)
    first_position = models.PositiveSmallIntegerField(default=1)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    # Made by the page that asks: a double tap makes one run, not two.
    request_id = models.UUIDField(unique=True)

    class Meta:
        constraints = [models.CheckConstraint(name="label_run_not_empty", condition=Q(count__gt=0))]

    def __str__(self) -> str:
        return f"run {self.pk}: {self.count} from {self.first_sequence}"


class Printer(models.Model):
    """How far one printer is off on one label stock, found with the test page."""

    lake = models.ForeignKey(Lake, on_delete=models.CASCADE, related_name="printers")
    stock = models.CharField(max_length=20)
    right_tenths_mm = models.SmallIntegerField(default=0)
    down_tenths_mm = models.SmallIntegerField(default=0)
    scale_across_per_mille = models.PositiveSmallIntegerField(default=1000)
    scale_down_per_mille = models.PositiveSmallIntegerField(default=1000)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["lake", "stock"], name="printer_per_stock")]

    def __str__(self) -> str:
        return f"printer at {self.lake_id} for {self.stock}"


class VialState(models.TextChoices):
    PRINTED = "printed", "Printed"
    ISSUED = "issued", "Issued"
    USED = "used", "Used at the ramp"
    RECEIVED = "received", "Received"
    CLEARING = "clearing", "Clearing"
    READY = "ready", "Ready to read"
    READ = "read", "Read"
    ARCHIVED = "archived", "Archived"
    LOST = "lost", "Lost"
    VOID = "void", "Void"


class VialContent(models.TextChoices):
    NOT_NOTED = "", "Not recorded"
    NONE = "none", "None"
    ONE = "one", "One otolith"
    TWO = "two", "Two otoliths"
    BROKEN = "broken", "Broken"
    MORE_FISH = "more_fish", "More than one fish"
    WRONG = "wrong", "Not an otolith"


class Vial(models.Model):
    """One vial by its number, and how far it has come."""

    State: TypeAlias = VialState

    Content: TypeAlias = VialContent

    number = models.CharField(max_length=9, unique=True, help_text="Digits only, as printed.")
    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="vials")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="vials")
    run = models.ForeignKey(LabelRun, on_delete=models.PROTECT, related_name="vials")
    sequence = models.PositiveIntegerField()
    state = models.CharField(max_length=8, choices=State, default=State.PRINTED)
    issued_to = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="vials_in_hand"
    )
    issued_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField(null=True, blank=True)
    received_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    content = models.CharField(max_length=9, choices=Content, default="", blank=True)
    clearing_from = models.DateField(null=True, blank=True)
    ready_on = models.DateField(null=True, blank=True)
    # A vial that was taken out keeps its slot; `archive_box` repeats the name of the box.
    box = models.ForeignKey(
        ArchiveBox, null=True, blank=True, on_delete=models.PROTECT, related_name="vials"
    )
    archive_box = models.CharField(max_length=20, blank=True)
    archive_slot = models.CharField(max_length=20, blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)
    archived_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    taken_out_at = models.DateTimeField(null=True, blank=True)
    taken_out_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        indexes = [
            models.Index(fields=["lake", "season", "state"], name="vial_by_state"),
            models.Index(fields=["issued_to", "state"], name="vial_in_hand"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["season", "sequence"], name="vial_once_in_season"),
            models.UniqueConstraint(
                fields=["box", "archive_slot"],
                condition=Q(box__isnull=False),
                name="vial_alone_in_its_slot",
            ),
            only_choices("state", VialState, name="vial_state_known"),
            only_choices("content", VialContent, name="vial_content_known"),
            models.CheckConstraint(
                name="vial_received_at_and_by_together",
                condition=Q(received_at__isnull=True, received_by__isnull=True)
                | Q(received_at__isnull=False, received_by__isnull=False),
            ),
            models.CheckConstraint(
                name="vial_in_a_box_has_its_slot",
                condition=Q(box__isnull=True) | ~Q(archive_slot=""),
            ),
            models.CheckConstraint(
                name="vial_taken_out_of_a_box",
                condition=Q(taken_out_at__isnull=True, taken_out_by__isnull=True)
                | Q(taken_out_at__isnull=False, taken_out_by__isnull=False, box__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"vial {self.number}"


# Nobody has such a vial in hand.
OUT_OF_USE = (Vial.State.LOST, Vial.State.VOID)
# Nothing to count, or nobody could say whose otolith it is.
WITHOUT_AN_OTOLITH = (Vial.Content.NONE, Vial.Content.WRONG, Vial.Content.MORE_FISH)


def with_an_otolith_to_read(vials: models.QuerySet[Vial]) -> models.QuerySet[Vial]:
    """Leave those of the vials that are at the office with a dated fish and its otolith."""
    return (
        vials.filter(fish__isnull=False, fish__caught_on__isnull=False, received_at__isnull=False)
        .exclude(state__in=OUT_OF_USE)
        .exclude(content__in=WITHOUT_AN_OTOLITH)
    )
