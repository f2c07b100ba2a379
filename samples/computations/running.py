"""Working on a computation: claimed by one worker, and finished by that one alone."""

import logging
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import F
from django.utils.module_loading import import_string

from fisheries.database import is_outage
from samples.computations.results import program_version, result_key, save_result
from samples.models import Computation

log = logging.getLogger(__name__)
State = Computation.State
Clock = Callable[[], datetime]
# Returns the revision of the data that it found, and the result.
Compute = Callable[[dict[str, Any], "Progress"], tuple[str, object]]
WRITTEN_EVERY_S = 1.0


class Abandoned(Exception):
    """The work is not wanted any more, or another worker has it."""


class Progress:
    """What a computation tells how far it is; written at most once a second.

    :raises Abandoned: if it was called off, or its lease passed to another worker
    """

    def __init__(self, pk: int, worker: str) -> None:
        self.pk, self.worker = pk, worker
        self.written_at = 0.0

    def __call__(self, percent: int, step: str) -> None:
        now = time.monotonic()
        if now - self.written_at < WRITTEN_EVERY_S:
            return
        self.written_at = now
        held = Computation.objects.filter(
            pk=self.pk, state=State.RUNNING, lease=self.worker, cancel_asked=False
        )
        if not held.update(progress=min(percent, 99), step=step):
            raise Abandoned


def claim(pk: int, *, worker: str, task_id: str, now: datetime) -> Computation | None:
    """Take a computation that waits, with a lease; nothing if another worker took it."""
    waiting = Computation.objects.filter(pk=pk, state=State.QUEUED, version=program_version())
    taken = waiting.update(
        state=State.RUNNING,
        lease=worker,
        task_id=task_id,
        leased_until=now + timedelta(seconds=settings.COMPUTATION_LEASE_S),
        started_at=now,
        attempts=F("attempts") + 1,
    )
    return Computation.objects.get(pk=pk) if taken else None


def run_computation(pk: int, *, worker: str, task_id: str, clock: Clock) -> None:
    """Claim a computation, work it out and keep what came of it.

    What fails is marked as failed. Where the database is away nothing is marked: the lease runs
    out, and another worker begins again.
    """
    row = claim(pk, worker=worker, task_id=task_id, now=clock())
    if row is None:
        return
    compute: Compute = import_string(settings.COMPUTATIONS[row.kind])
    try:
        revision, result = compute(row.arguments, Progress(pk, worker))
        key = result_key(row.kind, row.key, revision)
        save_result(key, result)
        _finish(pk, worker, clock(), state=State.DONE, progress=100, result_key=key)
    except Abandoned:
        _finish(pk, worker, clock(), state=State.CANCELED)
    except Exception as problem:
        if is_outage(problem):
            raise
        log.exception("Computation %d (%s) failed.", pk, row.kind)
        _finish(pk, worker, clock(), state=State.FAILED, problem=type(problem).__name__)


def _finish(pk: int, worker: str, now: datetime, **columns: Any) -> None:
    """Close a computation, if this worker still holds it."""
    if columns["state"] == State.DONE:
        columns["result_at"] = now
    held = Computation.objects.filter(pk=pk, state=State.RUNNING, lease=worker)
    held.update(finished_at=now, step="", **columns)
