"""Otoliths made ready to read: whole, cracked and burnt, or cut into thin sections."""

from typing import TypeAlias

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from samples.models.age import AgeDecision
from samples.models.choices import only_choices
from samples.models.lake import Lake
from samples.models.reading import Reading
from samples.models.reading_session import ReadMethod
from samples.models.user import User
from samples.models.vial import Vial


class PreparationSide(models.TextChoices):
    NOT_NOTED = "", "Not recorded"
    LEFT = "left", "Left"
    RIGHT = "right", "Right"


class PreparationCondition(models.TextChoices):
    INTACT = "intact", "Intact"
    BROKEN = "broken", "Broken"
    PIECED = "pieced", "Broken and pieced together"


class Preparation(models.Model):
    """One otolith of a vial as it was prepared. A vial may have several, numbered from 1.

    ``lake`` repeats the vial's: a place in a slide box is taken once at a lake.
    """

    Kind: TypeAlias = ReadMethod

    Side: TypeAlias = PreparationSide

    Condition: TypeAlias = PreparationCondition

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="preparations")
    vial = models.ForeignKey(Vial, on_delete=models.PROTECT, related_name="preparations")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=ReadMethod)
    side = models.CharField(max_length=5, choices=Side, blank=True)
    condition = models.CharField(max_length=6, choices=Condition, default=Condition.INTACT)
    slide = models.CharField(max_length=20, blank=True, help_text="As written on the slide.")
    slide_box = models.CharField(max_length=20, blank=True)
    box_place = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    # Ground through, lost, broken beyond use: there is nothing to read any more.
    spoiled_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    spoiled_at = models.DateTimeField(null=True, blank=True)
    spoiled_why = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["vial", "number"], name="preparation_number_once"),
            models.UniqueConstraint(
                "lake", Lower("slide"), condition=~Q(slide=""), name="preparation_slide_once"
            ),
            models.UniqueConstraint(
                "lake",
                Lower("slide_box"),
                "box_place",
                condition=Q(box_place__isnull=False),
                name="preparation_alone_in_its_place",
            ),
            only_choices("kind", ReadMethod, name="preparation_kind_known"),
            only_choices("side", PreparationSide, name="preparation_side_known"),
            only_choices("condition", PreparationCondition, name="preparation_condition_known"),
            models.CheckConstraint(
                name="preparation_place_in_a_box",
                condition=Q(box_place__isnull=True, slide_box="")
                | (Q(box_place__gte=1) & ~Q(slide_box="")),
            ),
            models.CheckConstraint(
                name="preparation_spoiled_at_by_and_why_together",
                condition=Q(spoiled_at__isnull=True, spoiled_by__isnull=True, spoiled_why="")
                | Q(spoiled_at__isnull=False, spoiled_by__isnull=False) & ~Q(spoiled_why=""),
            ),
        ]

    def __str__(self) -> str:
        return f"preparation {self.number} of vial {self.vial_id}"


class StepKind(models.TextChoices):
    EMBEDDED = "embedded", "Embedded"
    CUT = "cut", "Cut"
    MOUNTED = "mounted", "Mounted"
    GROUND = "ground", "Ground"
    CRACKED = "cracked", "Cracked"
    BURNT = "burnt", "Burnt"


# In the order in which they are usually done; the last one makes it ready to read.
STEPS = {
    ReadMethod.WHOLE: (),
    ReadMethod.CRACK_AND_BURN: (StepKind.CRACKED, StepKind.BURNT),
    ReadMethod.SECTION: (StepKind.EMBEDDED, StepKind.CUT, StepKind.MOUNTED, StepKind.GROUND),
}


class PreparationStep(models.Model):
    """One step of the work on a preparation, who did it and on which day."""

    Kind: TypeAlias = StepKind

    preparation = models.ForeignKey(Preparation, on_delete=models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=8, choices=Kind)
    done_on = models.DateField()
    done_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    noted_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["preparation", "kind", "done_on"], name="preparation_step_once_a_day"
            ),
            only_choices("kind", StepKind, name="preparation_step_known"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of preparation {self.preparation_id}"


class SectionRequest(models.Model):
    """Somebody asks for a thin section of a vial's otolith: by a reading, or on deciding an age.

    It is open until a section is made of it, or until it is dropped.
    """

    vial = models.ForeignKey(Vial, on_delete=models.PROTECT, related_name="section_requests")
    # A reading may be deleted; that somebody asked stays.
    reading = models.OneToOneField(
        Reading, null=True, blank=True, on_delete=models.SET_NULL, related_name="section_request"
    )
    decision = models.OneToOneField(
        AgeDecision, null=True, blank=True, on_delete=models.PROTECT, related_name="section_request"
    )
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    why = models.CharField(max_length=300, blank=True)
    preparation = models.ForeignKey(
        Preparation, null=True, blank=True, on_delete=models.SET_NULL, related_name="requests"
    )
    dropped_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    dropped_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="section_request_dropped_at_and_by_together",
                condition=Q(dropped_at__isnull=True, dropped_by__isnull=True)
                | Q(dropped_at__isnull=False, dropped_by__isnull=False, preparation__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return f"section of vial {self.vial_id} asked for"
