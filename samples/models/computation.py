"""What is worked out beside the pages, how far it has come, and results kept for a while."""

from django.db import models
from django.db.models import Q

from samples.models.choices import only_choices


class _State(models.TextChoices):
    QUEUED = "queued", "Queued"
    RUNNING = "running", "Running"
    DONE = "done", "Done"
    FAILED = "failed", "Failed"
    CANCELED = "canceled", "Canceled"


class Computation(models.Model):
    """A question that takes longer than a page may, and where its answer stands.

    One row a question, asked by however many people: ``key`` names the question, ``revision`` the
    data that it was asked of. Whoever works on it holds a lease, renewed while the work goes on; a
    worker whose lease has passed to another one writes nothing more.
    """

    State = _State
    OPEN = (_State.QUEUED, _State.RUNNING)

    key = models.CharField(max_length=64, unique=True, editable=False)
    kind = models.CharField(max_length=40)
    arguments = models.JSONField()
    revision = models.CharField(max_length=64)
    version = models.CharField(max_length=40, help_text="The program that is to work on it.")
    state = models.CharField(max_length=12, choices=_State)
    expected_s = models.FloatField(default=0)
    progress = models.PositiveSmallIntegerField(default=0, help_text="Percent.")
    step = models.CharField(max_length=80, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    cancel_asked = models.BooleanField(default=False)
    lease = models.CharField(max_length=64, blank=True, help_text="The worker that holds it.")
    leased_until = models.DateTimeField(null=True, blank=True)
    task_id = models.CharField(max_length=36, blank=True, help_text="Its place in the queue.")
    queued_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    # Where the newest result is kept, and of when it is: it may be of older data than `revision`.
    result_key = models.CharField(max_length=64, blank=True)
    result_at = models.DateTimeField(null=True, blank=True)
    problem = models.TextField(blank=True)

    class Meta:
        constraints = [
            only_choices("state", _State, name="computation_state_known"),
            models.CheckConstraint(
                name="computation_running_is_leased",
                condition=~Q(state="running") | Q(leased_until__isnull=False) & ~Q(lease=""),
            ),
        ]
        indexes = [models.Index(fields=["state", "leased_until"], name="computation_by_state")]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk} {self.state}"

    @property
    def is_open(self) -> bool:
        return self.state in self.OPEN


class StoredResult(models.Model):
    """A result in the database, where that is the cache: a table as Django's cache has it."""

    cache_key = models.CharField(primary_key=True, max_length=255)
    value = models.TextField()
    expires = models.DateTimeField(db_index=True)

    class Meta:
        db_table = "samples_stored_result"

    def __str__(self) -> str:
        return self.cache_key
