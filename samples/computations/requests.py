"""Asking for a computation, and calling it off."""

from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q

from samples.computations.results import (
    load_result,
    program_version,
    result_key,
    worker_seen_at,
)
from samples.computations.tasks import enqueue
from samples.models import Computation

State = Computation.State
# What failed is not begun again by whoever opens the page, for so long.
REST = timedelta(minutes=5)
SHORT_S = 5.0
# What nobody began by then, with no worker heard of, waits for one to be started.
LATE_AFTER = timedelta(seconds=10)


def request_computation(
    *,
    kind: str,
    key: str,
    revision: str,
    arguments: dict[str, Any],
    expected_s: float,
    now: datetime,
    again: bool = False,
) -> Computation:
    """Return the computation that answers a question, begun if nobody has begun it.

    One that is at work is joined, though the data have changed meanwhile: it ends before the next
    begins. One that failed or was canceled begins again if the data have changed, or ``again``.
    """
    wanted = _to_begin(revision, now, again=again)
    found = Computation.objects.filter(key=key).first()
    if found is not None and _is_answered(found, revision):
        return found
    # A page that waits asks every second: nothing is written, and no lock is taken, for that.
    if found is not None and not Computation.objects.filter(wanted, pk=found.pk).exists():
        return found
    fresh = {
        "kind": kind,
        "arguments": arguments,
        "revision": revision,
        "version": program_version(),
        "state": State.QUEUED,
        "expected_s": expected_s,
        "progress": 0,
        "step": "",
        "attempts": 0,
        "cancel_asked": False,
        "lease": "",
        "leased_until": None,
        "task_id": "",
        "queued_at": now,
        "started_at": None,
        "finished_at": None,
        "problem": "",
    }
    with transaction.atomic():
        row = found or _create(key, fresh)
        if row is None:  # another page was quicker
            return Computation.objects.get(key=key)
        if found is None or Computation.objects.filter(wanted, pk=row.pk).update(**fresh):
            put_in_queue(row.pk, expected_s)
    row.refresh_from_db()
    return row


def _create(key: str, columns: dict[str, Any]) -> Computation | None:
    """Note a computation; nothing if somebody noted it in the same moment."""
    try:
        with transaction.atomic():
            return Computation.objects.create(key=key, **columns)
    except IntegrityError:
        return None


def _is_answered(row: Computation, revision: str) -> bool:
    """Return whether the result is there by now: it may have come while the page looked for it."""
    wanted = result_key(row.kind, row.key, revision)
    return row.state == State.DONE and row.result_key == wanted and load_result(wanted) is not None


def put_in_queue(pk: int, expected_s: float) -> None:
    """Queue a computation, in the transaction that marks it: neither is without the other."""
    task_id = enqueue(pk, short=expected_s <= SHORT_S)
    if task_id:
        Computation.objects.filter(pk=pk).update(task_id=task_id)


def _to_begin(revision: str, now: datetime, *, again: bool) -> Q:
    """Return the condition on rows that are to begin: their result is gone, or they stopped."""
    rested = Q(state=State.FAILED, finished_at__lt=now - REST)
    stopped = Q(state__in=[State.FAILED, State.CANCELED])
    begin = Q(state=State.DONE) | rested | (stopped & ~Q(revision=revision))
    if again:
        begin |= stopped
    # Asked for by a program that was replaced since: it will not be worked on by this one.
    return begin | (Q(state__in=Computation.OPEN) & ~Q(version=program_version()))


def cancel_computation(pk: int, *, now: datetime) -> None:
    """Call a computation off: one that waits at once; one at work is stopped by its supervisor."""
    row = Computation.objects.filter(pk=pk)
    canceled = row.filter(state=State.QUEUED).update(state=State.CANCELED, finished_at=now)
    if not canceled:
        row.filter(state=State.RUNNING).update(cancel_asked=True)


def count_ahead(row: Computation) -> int:
    """Count the computations that are worked on before this one."""
    if row.state != State.QUEUED:
        return 0
    first = Q(state=State.RUNNING) | Q(state=State.QUEUED, queued_at__lt=row.queued_at)
    return Computation.objects.filter(first).exclude(pk=row.pk).count()


def nobody_works(row: Computation, now: datetime) -> bool:
    """Return whether a computation waits in vain: there is no worker that could begin it."""
    is_late = row.state == State.QUEUED and now - row.queued_at > LATE_AFTER
    return is_late and worker_seen_at() is None
