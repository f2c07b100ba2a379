"""Labels printed again, and where they are kept."""

import itertools
from collections.abc import Sequence
from datetime import datetime
from uuid import UUID, uuid4

from django.core.files.base import ContentFile
from django.db import transaction

from samples.models import LabelPrint, LabelRun, Lake, NumberYear, User, Vial
from samples.vials import queries
from samples.vials.geometry import CannotPrint, positions_before
from samples.vials.pdf import Told, labels_pdf
from samples.vials.rules import NumberedYear
from samples.vials.services.errors import CannotReprint
from samples.vials.services.runs import MOST_LABELS, locked_year
from samples.vials.services.sheets import SheetStart, begin_sheet, leave_sheet


@transaction.atomic
def reprint(
    *,
    lake: Lake,
    year: int,
    ranges: Sequence[tuple[int, int]],
    stock: str,
    start: SheetStart,
    request_id: UUID,
    actor: User,
    now: datetime,
) -> LabelPrint:
    """Print numbers once more, those that are void left out.

    The same request again gives the print that it made.

    :raises CannotReprint: if a number was never printed here, a position is not free, or the
        request printed something else
    """
    locked_year(year)
    made = LabelPrint.objects.filter(request_id=request_id).first()
    if made is not None:
        asked = (lake.pk, year, [list(one) for one in ranges], stock)
        return _made_before(made, asked, start)
    sheet = queries.find_stock(lake, stock)
    if sheet is None:
        raise CannotReprint("unknown_stock", "Choose a label stock from the list.", "stock")
    count = check_printed(lake, queries.numbered_year(year), ranges)
    begun = begin_sheet(lake, sheet, start, CannotReprint)
    label_print = LabelPrint.objects.create(
        lake=lake,
        year=year,
        ranges=[list(one) for one in ranges],
        count=count,
        stock=stock,
        first_position=start.first_position,
        used=sorted(begun.used),
        runs_down=start.runs_down,
        twins=start.twins,
        made_by=actor,
        made_at=now,
        request_id=request_id,
    )
    went_on = start.version is not None
    leave_sheet(lake, sheet, start.first_position, begun, count, went_on=went_on, now=now)
    return label_print


def _made_before(
    made: LabelPrint, asked: tuple[int, int, list[list[int]], str], start: SheetStart
) -> LabelPrint:
    wanted = (*asked, start.first_position, start.runs_down, start.twins)
    facts = (made.lake_id, made.year, made.ranges, made.stock, made.first_position)
    if (*facts, made.runs_down, made.twins) == wanted:
        return made
    raise CannotReprint(
        "already_made",
        f"This page already reprinted {queries.numbers_printed(made)}. Reload it to print more.",
    )


def check_printed(lake: Lake, year: NumberedYear, ranges: Sequence[tuple[int, int]]) -> int:
    """Count the labels that are printed: of numbers that were made and are not void.

    :raises CannotReprint: if a number was never made for this lake, or all are void
    """
    wanted = sum(last - first + 1 for first, last in ranges)
    if wanted > MOST_LABELS:
        raise CannotReprint("too_many", f"Enter {MOST_LABELS:,} numbers at most.", "numbers")
    _check_end(year, ranges[-1][1])
    vials = queries.vials_of(lake, year.year, ranges)
    found = dict(vials.values_list("sequence", "state"))
    if len(found) < wanted:
        places = itertools.chain(*(range(first, last + 1) for first, last in ranges))
        missing = next(place for place in places if place not in found)
        raise CannotReprint("not_made", _not_made(lake, year, missing), "numbers")
    count = sum(state != Vial.State.VOID for state in found.values())
    if not count:
        raise CannotReprint("all_void", "All these numbers are void. Enter others.", "numbers")
    return count


def _not_made(lake: Lake, year: NumberedYear, missing: int) -> str:
    return f"{year.named(missing)} was not printed for {lake}. Leave it out."


def _check_end(year: NumberedYear, end: int) -> None:
    """Refuse a range that goes on after the last number of its year, by the end that was typed."""
    last = queries.next_sequence(year.year) - 1
    if end > last:
        raise CannotReprint(
            "not_made",
            f"{end} is past the last number printed for {year.year}, {year.named(last)}."
            if last
            else f"No numbers of {year.year} were printed yet.",
            "numbers",
        )


@transaction.atomic
def first_print_of(run: LabelRun) -> LabelPrint:
    """Return the first print of a run; one of an older program is noted as it was printed then."""
    found = LabelPrint.objects.filter(run=run).first()
    if found is not None:
        return found
    NumberYear.objects.select_for_update().filter(year=run.season.number_year).first()
    stock = queries.find_stock(run.season.lake, run.stock)
    try:
        used = positions_before(stock, run.first_position, runs_down=False) if stock else []
    except CannotPrint:
        used = []
    last = run.first_sequence + run.count - 1
    columns = {
        "lake": run.season.lake,
        "year": run.season.number_year,
        "ranges": [[run.first_sequence, last]],
        "count": run.count,
        "stock": run.stock,
        "first_position": run.first_position,
        "used": sorted(used),
        "made_by": run.made_by,
        "made_at": run.made_at,
        "request_id": uuid4(),
    }
    label_print, _ = LabelPrint.objects.get_or_create(run=run, defaults=columns)
    return label_print


def draw_labels(job: queries.PrintJob, told: Told | None = None) -> None:
    """Draw the labels of a print and keep the file, unless it is kept by then.

    :raises CannotPrint: if there is nothing to print, or it has no room
    """
    row = job.label_print
    # Before the labels are read: a number made void meanwhile has the file drawn again.
    digest = job.digest()
    labels = queries.labels_to_print(row)
    # Without the lock: how far a long file is must be seen while it is drawn.
    content = labels_pdf(labels, job.stock, row.first_position, job.nudge, job.filling, told)
    with transaction.atomic():
        _keep_file(job, content, digest)


def _keep_file(job: queries.PrintJob, content: bytes, digest: str) -> None:
    """Keep a file under the lock of its print: a second tap waits, and finds the first one's."""
    row = job.label_print
    held = LabelPrint.objects.select_for_update().only("file", "drawn_from").get(pk=row.pk)
    row.file, row.drawn_from = held.file.name, held.drawn_from
    if is_kept(job):
        return
    old_name, storage = row.file.name, row.file.storage
    row.file.save("labels.pdf", ContentFile(content), save=False)
    try:
        row.drawn_from = digest
        row.save(update_fields=["file", "drawn_from"])
    except BaseException:
        storage.delete(row.file.name)
        raise
    if old_name:
        transaction.on_commit(lambda: storage.delete(old_name), robust=True)


def is_kept(job: queries.PrintJob) -> bool:
    """Return whether the labels are kept as they would be drawn now."""
    file, drawn_from = job.label_print.file, job.label_print.drawn_from
    return bool(file) and drawn_from == job.digest() and file.storage.exists(file.name)


def kept_file(job: queries.PrintJob) -> bytes | None:
    """Return the labels as they were drawn; nothing if they would be drawn otherwise by now."""
    row = job.label_print
    if not row.file or row.drawn_from != job.digest():
        return None
    try:
        with row.file.open("rb") as file:
            return bytes(file.read())
    except FileNotFoundError:
        return None
