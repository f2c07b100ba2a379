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
    SECOND_NEEDED = "second", "Needs a second reading"
    NO_AGE = "no_age", "Decided: no age"


# Nobody has to read or decide a fish whose age stands so.
CONCLUDED = (AgeStanding.AGREED, AgeStanding.DECIDED, AgeStanding.NO_AGE)
_WITHOUT_AGE = ["to_settle", "second", "no_age"]


class Age(models.Model):
    """The age of one fish as it stands now, with the rule that made it.

    ``age_years`` is empty while readings disagree or the rule leaves it open, while a second
    reading is needed, and where it was decided that the fish has none.
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
                condition=Q(standing__in=_WITHOUT_AGE, age_years__isnull=True)
                | (~Q(standing__in=_WITHOUT_AGE) & Q(age_years__isnull=False)),
            ),
            models.CheckConstraint(
                name="age_decimal_not_negative",
                condition=Q(decimal_age_years__isnull=True) | Q(decimal_age_years__gte=0),
            ),
        ]

    def __str__(self) -> str:
        return f"age of fish {self.fish_id}"


class DecisionOutcome(models.TextChoices):
    AGE = "age", "Age"
    NO_AGE = "no_age", "No age"
    SECTION = "section", "Section asked for"
    THIRD_READER = "third", "Third reader asked for"
    UNDONE = "undone", "Decision undone"


class DecidedBy(models.TextChoices):
    """How an age was decided."""

    NOT_SAID = "", "Not recorded"
    CONCERT = "concert", "Concert read"
    THIRD_READER = "third", "Third reader"
    SECTION = "section", "Section"
    ONE_READING = "one", "One reading is clearer"
    OTHER = "other", "Other, see the reason"


class AgeDecision(models.Model):
    """One thing that was decided about the age of a fish. It is never changed: the next one is
    a row of its own, and the last of a fish holds.
    """

    Outcome: TypeAlias = DecisionOutcome

    How: TypeAlias = DecidedBy

    fish = models.ForeignKey(Fish, on_delete=models.PROTECT, related_name="decisions")
    # Counted from 1: of two people who decide at once, one has the number.
    number = models.PositiveSmallIntegerField()
    outcome = models.CharField(max_length=8, choices=Outcome)
    age_years = models.PositiveSmallIntegerField(null=True, blank=True)
    how = models.CharField(max_length=8, choices=How, blank=True)
    note = models.CharField(max_length=300, blank=True)
    decided_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["fish", "number"], name="age_decision_number_once"),
            only_choices("outcome", DecisionOutcome, name="age_decision_outcome_known"),
            only_choices("how", DecidedBy, name="age_decision_how_known"),
            models.CheckConstraint(
                name="age_decision_how_of_an_age", condition=Q(how="") | Q(outcome="age")
            ),
            models.CheckConstraint(
                name="age_decision_age_where_it_is_one",
                condition=Q(outcome="age", age_years__isnull=False)
                | (~Q(outcome="age") & Q(age_years__isnull=True)),
            ),
            models.CheckConstraint(
                name="age_decision_says_why", condition=Q(outcome="undone") | ~Q(note="")
            ),
        ]

    def __str__(self) -> str:
        return f"decision {self.number} of fish {self.fish_id}"


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
