"""Files of labels: drawn by the page where they are few, by a worker beside it where many."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from samples.computations.requests import request_computation
from samples.computations.results import digest
from samples.computations.running import Progress
from samples.models import Computation, LabelPrint
from samples.vials import queries, services

KIND = "labels"
# A page draws so many within half a second.
MOST_ON_A_PAGE = 2_000
DRAWN_A_SECOND = 2_500


@dataclass(frozen=True, slots=True)
class LabelFile:
    """A file of labels, or the computation that draws it; neither where a page will draw it."""

    is_kept: bool
    computation: Computation | None = None


def request_file(job: queries.PrintJob, *, now: datetime, again: bool = False) -> LabelFile:
    """Return whether the file is there; one of many labels is begun, if it is not."""
    if services.is_kept(job):
        return LabelFile(is_kept=True)
    if job.labels_drawn <= MOST_ON_A_PAGE:
        return LabelFile(is_kept=False)
    pk = job.label_print.pk
    computation = request_computation(
        kind=KIND,
        key=digest(KIND, pk),
        revision=job.digest(),
        arguments={"lake": job.label_print.lake_id, "print": pk},
        expected_s=job.labels_drawn / DRAWN_A_SECOND,
        now=now,
        again=again,
    )
    # Where there is no worker the page has drawn it by now.
    job.label_print.refresh_from_db(fields=["file", "drawn_from"])
    if services.is_kept(job):
        return LabelFile(is_kept=True)
    return LabelFile(is_kept=False, computation=computation)


def find_file(job: queries.PrintJob, *, now: datetime) -> bytes | None:
    """Return the file as it is kept, drawn now if it has few labels; nothing while it is drawn.

    :raises CannotPrint: if there is nothing to print, or it has no room
    """
    kept = services.kept_file(job)
    if kept is not None:
        return kept
    if job.labels_drawn <= MOST_ON_A_PAGE:
        services.draw_labels(job)
        return services.kept_file(job)
    return services.kept_file(job) if request_file(job, now=now).is_kept else None


def compute_labels(arguments: dict[str, Any], progress: Progress) -> tuple[str, int]:
    """Draw and keep the labels of a print; return of what they are, and how many.

    :raises ValueError: if its stock is not there any more
    """
    label_print = LabelPrint.objects.select_related("lake").get(pk=arguments["print"])
    job = queries.print_job(label_print)
    if job is None:
        raise ValueError("The label stock no longer exists.")
    total = job.labels_drawn

    def tell(count: int) -> None:
        progress(100 * count // total, f"Drawing label {count:,} of {total:,}")

    services.draw_labels(job, tell)
    return label_print.drawn_from, total


def find_computation(label_print: LabelPrint) -> Computation | None:
    """Return the computation that draws a print, if one was begun."""
    return Computation.objects.filter(key=digest(KIND, label_print.pk)).first()
