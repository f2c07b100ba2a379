"""Looking after computations: what was lost begins again, what is unwanted is stopped."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from samples.computations.requests import put_in_queue
from samples.computations.results import program_version
from samples.models import Computation

State = Computation.State
# Begun by three workers and ended by none: it is the work that ends them.
MOST_ATTEMPTS = 3
# A row without its place in the queue is given as long to get it.
UNQUEUED = timedelta(seconds=30)
KEPT = timedelta(days=7)
TASKS_KEPT = timedelta(days=1)
TOOK_TOO_LONG = "It took too long."
WORKER_LOST = "Its worker was lost each time."


def renew_leases(workers: Iterable[str], *, now: datetime) -> None:
    """Renew the leases of workers that live and are still at the task of their computation."""
    rows = Computation.objects.filter(state=State.RUNNING, lease__in=list(workers))
    at_work = _tasks(rows, Q(status=TaskResultStatus.RUNNING))
    until = now + timedelta(seconds=settings.COMPUTATION_LEASE_S)
    rows.filter(task_id__in=at_work).update(leased_until=until)


def find_unwanted(workers: Iterable[str], *, now: datetime) -> dict[str, str]:
    """Return the workers that are to be stopped, and what then becomes of what they work on."""
    longest = now - timedelta(seconds=settings.COMPUTATION_LONGEST_S)
    rows = Computation.objects.filter(state=State.RUNNING, lease__in=list(workers))
    rows = rows.filter(Q(cancel_asked=True) | Q(started_at__lt=longest))
    return {row.lease: State.CANCELED if row.cancel_asked else State.FAILED for row in rows}


def close_of(worker: str, state: str, *, now: datetime) -> None:
    """Close what a worker was at before it was stopped."""
    rows = Computation.objects.filter(state=State.RUNNING, lease=worker)
    problem = TOOK_TOO_LONG if state == State.FAILED else ""
    rows.update(state=state, finished_at=now, problem=problem)


def give_back_of(worker: str, *, now: datetime, was_stopped: bool = False) -> None:
    """Queue again what a worker was at that is gone; one that was told to stop did not fail."""
    rows = Computation.objects.filter(state=State.RUNNING, lease=worker)
    if was_stopped:
        rows.update(attempts=F("attempts") - 1)
    for row in rows:
        _begin_again(row, now)


def begin_lost_again(*, now: datetime) -> None:
    """Queue again what nobody works on any more: the lease, or the place in the queue, is gone."""
    for row in Computation.objects.filter(state=State.RUNNING, leased_until__lt=now):
        _begin_again(row, now)
    waiting = Computation.objects.filter(
        state=State.QUEUED, queued_at__lt=now - UNQUEUED, version=program_version()
    )
    # A worker claims what it took at once: what is still unclaimed was taken by one that is lost.
    just_taken = Q(status=TaskResultStatus.RUNNING, started_at__gte=now - UNQUEUED)
    queued = _tasks(waiting, Q(status=TaskResultStatus.READY) | just_taken)
    for row in waiting.exclude(task_id__in=queued):
        _begin_again(row, now)


def _tasks(rows: QuerySet[Computation], condition: Q) -> list[str]:
    """Return the tasks of computations that fulfil a condition."""
    ids = [one for one in rows.values_list("task_id", flat=True) if one]
    found = DBTaskResult.objects.filter(condition, id__in=ids)
    return [str(one) for one in found.values_list("id", flat=True)]


@transaction.atomic
def _begin_again(row: Computation, now: datetime) -> None:
    """Queue a computation again, twice at most; nothing if it went on meanwhile."""
    same = Computation.objects.filter(
        pk=row.pk, state=row.state, lease=row.lease, leased_until=row.leased_until
    )
    if row.attempts >= MOST_ATTEMPTS:
        same.update(state=State.FAILED, finished_at=now, problem=WORKER_LOST)
        return
    waiting = {"state": State.QUEUED, "lease": "", "leased_until": None, "progress": 0}
    if same.update(**waiting, queued_at=now):
        DBTaskResult.objects.filter(id__in=[row.task_id] if row.task_id else []).delete()
        put_in_queue(row.pk, row.expected_s)


def prune(*, now: datetime) -> int:
    """Remove computations and tasks that nobody will ask for any more."""
    removed, _ = Computation.objects.filter(queued_at__lt=now - KEPT).delete()
    # A task that was being run by a killed worker says so for ever: it is of no use either.
    old = DBTaskResult.objects.filter(enqueued_at__lt=now - TASKS_KEPT)
    old.exclude(status=TaskResultStatus.READY).delete()
    return removed
