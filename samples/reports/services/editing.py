"""Editing a report, by several people at once: nobody writes over what they have not seen."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import Max

from samples.models import Lake, Report, ReportBlock, ReportBlockKind, Season, User

Kind = ReportBlockKind
# A report begins with these, in this order; findings are put before the last two.
USUAL = (Kind.SUMMARY, Kind.COVERAGE, Kind.SOURCES, Kind.METHODS, Kind.REFERENCES)
AT_THE_END = (Kind.METHODS, Kind.REFERENCES)
MOST_BLOCKS = 60


class ReportRefused(Exception):
    """A change that can't be made; the sentence is fit to show beside ``field``."""

    def __init__(self, field: str, sentence: str, code: str) -> None:
        super().__init__(sentence)
        self.field, self.sentence, self.code = field, sentence, code


class ReportChanged(Exception):
    """Somebody saved the same thing after it was opened here; ``row`` is as they left it."""

    def __init__(self, row: Report | ReportBlock) -> None:
        super().__init__("changed since")
        self.row = row


class BlockRemoved(Exception):
    """Somebody removed the block after it was opened here."""


@transaction.atomic
def start_report(
    lake: Lake, season: Season, *, title: str, authors: str, actor: User, now: datetime
) -> Report:
    """Start a report with its usual blocks.

    :raises ReportRefused: if the lake has a report of this title
    """
    try:
        with transaction.atomic():
            report = Report.objects.create(
                lake=lake,
                season=season,
                title=title,
                authors=authors,
                created_by=actor,
                created_at=now,
                changed_by=actor,
                changed_at=now,
            )
    except IntegrityError as problem:
        raise _title_taken(title) from problem
    for place, kind in enumerate(USUAL):
        ReportBlock.objects.create(
            report=report, place=place, kind=kind, changed_by=actor, changed_at=now
        )
    return report


def _title_taken(title: str) -> ReportRefused:
    return ReportRefused(
        "title",
        f"This lake has a report called {title}. Enter another title, such as {title}, draft.",
        "title_taken",
    )


@transaction.atomic
def change_report(
    report: Report,
    *,
    version: int,
    title: str,
    authors: str,
    words: str,
    paper: str,
    actor: User,
    now: datetime,
) -> Report:
    """Save what stands on the first page.

    :raises ReportChanged: if it was changed since this version
    :raises ReportRefused: if another report has this title
    """
    held = _held(report)
    if held.version != version:
        raise ReportChanged(held)
    held.title, held.authors, held.words, held.paper = title, authors, words, paper
    try:
        with transaction.atomic():
            _save_report(held, actor, now)
    except IntegrityError as problem:
        raise _title_taken(title) from problem
    return held


def _held(report: Report) -> Report:
    """Lock a report: two changes of it wait for each other."""
    return Report.objects.select_for_update().get(pk=report.pk)


def _save_report(held: Report, actor: User, now: datetime) -> None:
    held.version += 1
    held.changed_by, held.changed_at = actor, now
    held.save()


# ---------- Blocks ----------


@transaction.atomic
def add_finding(
    report: Report, *, topic: str, query: str, actor: User, now: datetime
) -> ReportBlock:
    """Add a finding by its choice; the same one again, as after a second tap, is there already.

    :raises ReportRefused: if the report is full
    """
    held = _held(report)
    there = ReportBlock.objects.filter(report=held, topic=topic, query=query).first()
    if there is not None:
        return there
    return _add(held, Kind.FINDING, actor, now, topic=topic, query=query)


@transaction.atomic
def add_block(report: Report, *, kind: str, actor: User, now: datetime) -> ReportBlock:
    """Add a block that is of no finding; a report has one of each kind.

    :raises ReportRefused: if the report is full
    """
    held = _held(report)
    there = ReportBlock.objects.filter(report=held, kind=kind).first()
    return there or _add(held, kind, actor, now)


def _rows_of(held: Report) -> list[ReportBlock]:
    """Lock the blocks of a report, in order: words that are being saved are not written over."""
    rows = ReportBlock.objects.select_for_update().filter(report=held)
    return list(rows.order_by("place", "pk"))


def _add(held: Report, kind: str, actor: User, now: datetime, **columns: str) -> ReportBlock:
    rows = _rows_of(held)
    if len(rows) >= MOST_BLOCKS:
        raise ReportRefused("", f"A report has at most {MOST_BLOCKS} blocks. Remove one.", "full")
    at = len(rows)
    while kind not in AT_THE_END and at and rows[at - 1].kind in AT_THE_END:
        at -= 1
    block = ReportBlock(report=held, kind=kind, changed_by=actor, changed_at=now, **columns)
    rows.insert(at, block)
    _place(rows)
    _save_report(held, actor, now)
    return block


def _place(rows: list[ReportBlock]) -> None:
    """Number the blocks by their order."""
    for place, row in enumerate(rows):
        if row._state.adding or row.place != place:
            row.place = place
            row.save()


@transaction.atomic
def move_block(block: ReportBlock, *, up: bool, actor: User, now: datetime) -> None:
    """Move a block past its neighbor; at the end it stays."""
    held = _held(block.report)
    rows = _rows_of(held)
    at = next((place for place, row in enumerate(rows) if row.pk == block.pk), None)
    to = None if at is None else at - 1 if up else at + 1
    if at is None or to is None or not 0 <= to < len(rows):
        return
    rows[at], rows[to] = rows[to], rows[at]
    _place(rows)
    _save_report(held, actor, now)


@transaction.atomic
def remove_block(block: ReportBlock, *, version: int, actor: User, now: datetime) -> None:
    """Take a block out of the report; its words stay in the history.

    :raises ReportChanged: if its words were changed since this version
    """
    held = _held(block.report)
    row = ReportBlock.objects.select_for_update().filter(pk=block.pk).first()
    if row is None:
        return
    if row.version != version:
        raise ReportChanged(row)
    row.delete()
    _save_report(held, actor, now)


@transaction.atomic
def change_block(
    block: ReportBlock, *, version: int, words: str, actor: User, now: datetime
) -> ReportBlock:
    """Save the own words of a block.

    :raises ReportChanged: if they were changed since this version
    :raises BlockRemoved: if the block is not there any more
    """
    held = ReportBlock.objects.select_for_update().filter(pk=block.pk).first()
    if held is None:
        raise BlockRemoved
    if held.words == words:
        return held
    if held.version != version:
        raise ReportChanged(held)
    held.words, held.version = words, held.version + 1
    held.changed_by, held.changed_at = actor, now
    held.save()
    return held


def next_number(report: Report) -> int:
    """Return the number of the next draft."""
    most = report.drafts.aggregate(most=Max("number"))["most"]
    return (most or 0) + 1
