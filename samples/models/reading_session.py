"""Reading sessions: which otoliths a reader goes through, in which order, and what is hidden.

Beside them what keeps readers honest: the random draw of second readings, otoliths sent for
another reading by hand, and the reference set.
"""

from typing import TypeAlias

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.lake import Arm, Lake, Season
from samples.models.species import Species
from samples.models.user import User
from samples.models.vial import Vial

LEAST_SECOND_PERCENT, MOST_SECOND_PERCENT, USUAL_SECOND_PERCENT = 10, 20, 15


class ReadMethod(models.TextChoices):
    WHOLE = "whole", "Whole"
    SECTION = "section", "Section"
    CRACK_AND_BURN = "crack_burn", "Crack and burn"


class ReadingStream(models.TextChoices):
    """What a reading was made for. Precision is taken from the random second readings alone."""

    NOT_SAID = "", "Not recorded"
    FIRST = "first", "First reading"
    SECOND = "second", "Second reading, drawn at random"
    HARD = "hard", "Second reading, asked for by hand"
    REFERENCE = "reference", "Reference set"


class SessionPurpose(models.TextChoices):
    NEXT = "next", "Next in the queue"
    SECOND = "second", "Second readings"
    HARD = "hard", "Otoliths sent for another reading"
    REFERENCE = "reference", "Reference set"


class OtolithOutcome(models.TextChoices):
    WAITING = "", "Not read yet"
    READ = "read", "Read"
    SECTION = "section", "Needs a section"
    UNREADABLE = "unreadable", "Cannot be read"


class ReadingSession(models.Model):
    """Otoliths that one reader goes through in a shuffled order, today or over several days.

    The order follows from the seed. Side, light and axis are those that were last said.
    """

    Purpose: TypeAlias = SessionPurpose

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="reading_sessions")
    reader = models.ForeignKey(User, on_delete=models.PROTECT, related_name="reading_sessions")
    purpose = models.CharField(max_length=9, choices=SessionPurpose)
    method = models.CharField(max_length=10, choices=ReadMethod, default=ReadMethod.WHOLE)
    length_is_hidden = models.BooleanField(default=True)
    earlier_are_hidden = models.BooleanField(default=True)
    side = models.CharField(max_length=10, blank=True)
    light = models.CharField(max_length=12, blank=True)
    axis = models.CharField(max_length=20, blank=True)
    seed = models.PositiveBigIntegerField()
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    # Made by the page that asks: a double tap opens one session, not two.
    request_id = models.UUIDField(unique=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["lake", "reader"],
                condition=Q(closed_at__isnull=True),
                name="reading_session_one_open_per_reader",
            ),
            only_choices("purpose", SessionPurpose, name="reading_session_purpose_known"),
            only_choices("method", ReadMethod, name="reading_session_method_known"),
        ]

    def __str__(self) -> str:
        return f"reading session {self.pk} at lake {self.lake_id}"


class SessionOtolith(models.Model):
    """One otolith of a session: its place in the order, why it is there, and what came of it.

    The reader does not learn the stream. ``seconds`` is how long the page stood open in front.
    """

    Outcome: TypeAlias = OtolithOutcome

    session = models.ForeignKey(ReadingSession, on_delete=models.CASCADE, related_name="otoliths")
    place = models.PositiveSmallIntegerField()
    vial = models.ForeignKey(Vial, on_delete=models.PROTECT, related_name="session_otoliths")
    stream = models.CharField(max_length=9, choices=ReadingStream)
    outcome = models.CharField(max_length=10, choices=OtolithOutcome, default="", blank=True)
    needs_section = models.BooleanField(default=False)
    note = models.CharField(max_length=300, blank=True)
    seconds = models.PositiveIntegerField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["session", "place"], name="session_place_once"),
            models.UniqueConstraint(fields=["session", "vial"], name="session_vial_once"),
            only_choices("stream", ReadingStream, name="session_otolith_stream_known"),
            only_choices("outcome", OtolithOutcome, name="session_otolith_outcome_known"),
            models.CheckConstraint(
                name="session_otolith_done_with_an_outcome",
                condition=Q(outcome="", done_at__isnull=True)
                | (~Q(outcome="") & Q(done_at__isnull=False)),
            ),
            models.CheckConstraint(
                name="session_otolith_for_a_section_needs_one",
                condition=~Q(outcome="section") | Q(needs_section=True),
            ),
        ]

    def __str__(self) -> str:
        return f"otolith {self.place} of session {self.session_id}"


class SecondReadingPlan(models.Model):
    """How many otoliths of a lake are read a second time, and the seed they are drawn with."""

    lake = models.OneToOneField(
        Lake, on_delete=models.PROTECT, related_name="second_reading_plan", primary_key=True
    )
    percent = models.PositiveSmallIntegerField(default=USUAL_SECOND_PERCENT)
    seed = models.PositiveBigIntegerField()
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="second_readings_10_to_20_percent",
                condition=Q(percent__gte=LEAST_SECOND_PERCENT, percent__lte=MOST_SECOND_PERCENT),
            )
        ]

    def __str__(self) -> str:
        return f"{self.percent} % of lake {self.lake_id}"


class SecondReadingDraw(models.Model):
    """What the draw said of one vial when it had been read once. Written once and kept.

    ``place`` counts the vials of its arm and length bin in the order of their first readings.
    """

    vial = models.OneToOneField(Vial, on_delete=models.PROTECT, related_name="second_reading_draw")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="+")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    arm = models.ForeignKey(Arm, on_delete=models.PROTECT, related_name="+")
    from_hundredths_mm = models.PositiveIntegerField(help_text="Lower edge of the length bin.")
    place = models.PositiveIntegerField()
    percent = models.PositiveSmallIntegerField()
    is_drawn = models.BooleanField()
    drawn_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["season", "species", "arm", "from_hundredths_mm", "place"],
                name="second_reading_draw_place_once",
            )
        ]

    def __str__(self) -> str:
        return f"draw of vial {self.vial_id}"


class SecondReadingRequest(models.Model):
    """Another reading that somebody asked for because the otolith is hard to read."""

    vial = models.ForeignKey(Vial, on_delete=models.PROTECT, related_name="reading_requests")
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)
    # Read by somebody else, or no longer wanted.
    closed_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["vial"], condition=Q(closed_at__isnull=True), name="reading_request_once"
            )
        ]

    def __str__(self) -> str:
        return f"request {self.pk} for vial {self.vial_id}"


class ReferenceKind(models.TextChoices):
    KNOWN = "known", "Known age"
    CONSENSUS = "consensus", "Consensus age"


class ReferenceOtolith(models.Model):
    """An otolith that readers are tested with. A consensus age tests consistency alone."""

    Kind: TypeAlias = ReferenceKind

    vial = models.OneToOneField(Vial, on_delete=models.PROTECT, related_name="reference")
    age_years = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=9, choices=ReferenceKind)
    source = models.CharField(max_length=200)
    added_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            only_choices("kind", ReferenceKind, name="reference_kind_known"),
            models.CheckConstraint(name="reference_age_below_60", condition=Q(age_years__lt=60)),
        ]

    def __str__(self) -> str:
        return f"reference otolith {self.vial_id}"
