"""The task that the queue holds: it carries the number of a computation and nothing else."""

from typing import Any

from django.utils import timezone
from django_tasks import TaskContext, task

from samples.computations.running import run_computation

SHORT, LONG = "short", "long"


@task(takes_context=True, queue_name=LONG)
def compute(context: TaskContext, pk: int) -> None:
    """Work on a computation, if nobody else does and it is still wanted."""
    result = context.task_result
    run_computation(pk, worker=result.worker_ids[-1], task_id=result.id, clock=timezone.now)


def enqueue(pk: int, *, short: bool) -> str:
    """Put a computation in the queue and return its place there; what is short goes first.

    Where there is no worker it has been done by then, and has no place any more.
    """
    queue: dict[str, Any] = {"queue_name": SHORT, "priority": 10} if short else {}
    task = compute.using(**queue).enqueue(pk)
    return "" if task.is_finished else str(task.id)
