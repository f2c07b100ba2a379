"""Taking a spreadsheet of readings with measured rings in: all of its rows or none, by the lab."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import vials_at
from samples.exchange.entry import FileTable
from samples.exchange.services.fish_table import CannotImport
from samples.exchange.services.report import BadRow
from samples.exchange.services.rings_reader import RingFacts, RingReader
from samples.lab.services import CannotRead, ReadingNeedsConfirmation, save_reading, set_radii
from samples.models import Fish, Lake, Reading, User, Vial, atomic_with_revision
from samples.rules import vial_number
from samples.rules.lake_time import local_day

# A refusal names a field of the reading; the spreadsheet has a column for it, or a near one.
COLUMN_OF = {"annulus_at_edge": "margin"}


@dataclass(frozen=True, slots=True, kw_only=True)
class RingsSettings:
    """What holds for the whole file. ``confirm_unusual`` says yes to what is only asked."""

    lake: str
    confirm_unusual: bool = False


@dataclass(slots=True)
class RingsReport:
    """What an import of readings did, or would do."""

    rows: int = 0
    readings: int = 0
    rings_only: int = 0
    already: int = 0
    unit: str = ""
    not_used: tuple[str, ...] = ()
    bad: list[BadRow] = field(default_factory=list)


class _RingsRolledBack(Exception):
    """Ends the transaction of an import that is only tried, or has a bad row."""


def import_rings(
    table: FileTable, settings: RingsSettings, *, actor: User, now: datetime, commit: bool
) -> RingsReport:
    """Take the readings in as read by ``actor``, or show what that would do.

    One bad row keeps all of them out. Where the same count was typed already in that sitting,
    only its radii are set; the same file again changes nothing.

    :raises CannotImport: if there is no such lake, the person may not read there, or the radii
        are in pixels
    """
    lake = _lake(settings, actor)
    if "px" in table.units.values():
        raise CannotImport(
            "pixels",
            "The radii are in pixels. Convert them to micrometers with the image scale.",
        )
    report = RingsReport(rows=len(table.rows), not_used=table.not_used)
    try:
        with atomic_with_revision():
            _import(table, settings, report, lake, actor=actor, now=now)
            if report.bad or not commit:
                raise _RingsRolledBack
    except _RingsRolledBack:
        pass
    return report


def _lake(settings: RingsSettings, actor: User) -> Lake:
    lake = Lake.objects.filter(name__iexact=settings.lake).first()
    if lake is None:
        sentence = f"There is no lake called {settings.lake}. Import its fish first."
        raise CannotImport("no_lake", sentence)
    if not has_permission(actor, Permission.READ_OTOLITHS, lake):
        raise CannotImport(
            "no_reader",
            f"{actor} is not a reader at {lake}. Name the reader with --by, or ask the biologist "
            "to add the role.",
        )
    return lake


def _import(
    table: FileTable,
    settings: RingsSettings,
    report: RingsReport,
    lake: Lake,
    *,
    actor: User,
    now: datetime,
) -> None:
    vials = _locked_vials(table, lake, actor)
    caught = Fish.objects.filter(vial__in=vials.values()).values_list("vial_id", "caught_on")
    reader = RingReader(
        table, vials=vials, caught_on=dict(caught), today=local_day(now, lake.time_zone)
    )
    report.unit = reader.unit_name
    rows = [facts for facts in map(reader.facts_of, table.rows) if facts is not None]
    for facts in _once_a_sitting(rows, reader):
        try:
            _ingest_row(facts, settings, report, reader, actor=actor, now=now)
        except CannotRead as problem:
            found = f"{len(facts.radii_um)} radii" if problem.code == "radii_differ" else ""
            reader.wrong(facts.row, _column(problem.field), problem.sentence, found)
        except ReadingNeedsConfirmation as asked:
            for question in asked.questions:
                sentence = f"{question.sentence} If so, add --confirm-unusual."
                reader.wrong(facts.row, _column(question.field), sentence)
    report.bad = sorted(reader.bad, key=lambda one: one.row)


def _column(name: str) -> str:
    return COLUMN_OF.get(name, name)


def _locked_vials(table: FileTable, lake: Lake, actor: User) -> dict[str, Vial]:
    """Lock every vial that is named, in the order of ids like everybody, and give it by number."""
    numbers = set()
    for row in table.rows:
        try:
            numbers.add(vial_number.parse(row.get("vial")).number)
        except vial_number.VialNumberRefused:
            continue  # the reader of rows says so, beside its row
    found = vials_at(actor, lake).select_for_update().filter(number__in=numbers).order_by("pk")
    return {vial.number: vial for vial in found}


def _once_a_sitting(rows: Iterable[RingFacts], reader: RingReader) -> Iterable[RingFacts]:
    """Return the rows; a second one of the same vial, day and method would undo the first."""
    first: dict[object, int] = {}
    for facts in rows:
        number = first.setdefault(facts.sitting, facts.row.number)
        if number == facts.row.number:
            yield facts
            continue
        sentence = f"Row {number} has the same vial, date and method. Keep the right row."
        reader.wrong(facts.row, "vial", sentence)


def _ingest_row(
    facts: RingFacts,
    settings: RingsSettings,
    report: RingsReport,
    reader: RingReader,
    *,
    actor: User,
    now: datetime,
) -> None:
    reading = Reading.objects.filter(
        vial=facts.vial, reader=actor, sitting_on=facts.read_on, method=facts.method
    ).first()
    if reading is None:
        _set(_saved(facts, settings, actor=actor, now=now), facts, actor=actor, now=now)
        report.readings += 1
    elif not _same_count(reading, facts):
        margin = f", margin {reading.margin}" if reading.margin else ""
        sentence = (
            f"{actor} counted {reading.annuli} in that session{margin}. Put the row right, or "
            "correct the reading on the page of the vial first."
        )
        found = f"{facts.annuli}{f', margin {facts.margin}' if facts.margin else ''}"
        reader.wrong(facts.row, "annuli", sentence, found)
    elif _has_rings(reading, facts):
        report.already += 1
    else:
        _set(reading, facts, actor=actor, now=now)
        report.rings_only += 1


def _same_count(reading: Reading, facts: RingFacts) -> bool:
    """Return whether two counts agree; a file without the margin contradicts none."""
    return reading.annuli == facts.annuli and facts.margin in {None, reading.margin}


def _has_rings(reading: Reading, facts: RingFacts) -> bool:
    radii = reading.radii.order_by("annulus").values_list("radius_um", flat=True)
    return reading.edge_um == facts.edge_um and list(radii) == facts.radii_um


def _saved(facts: RingFacts, settings: RingsSettings, *, actor: User, now: datetime) -> Reading:
    def save(confirmed: tuple[str, ...]) -> Reading:
        return save_reading(
            vial=facts.vial,
            reader=actor,
            annuli=facts.annuli,
            margin=facts.margin,
            method=facts.method,
            readability=None,
            # Nothing in the file says that it was hidden.
            length_was_hidden=False,
            sitting_on=facts.read_on,
            now=now,
            confirmed=confirmed,
        ).reading

    try:
        return save(())
    except ReadingNeedsConfirmation as asked:
        if not settings.confirm_unusual:
            raise
        return save(tuple(question.code for question in asked.questions))


def _set(reading: Reading, facts: RingFacts, *, actor: User, now: datetime) -> None:
    reading._history_user = actor  # type: ignore[attr-defined]
    reading._history_date = now  # type: ignore[attr-defined]
    set_radii(reading, facts.radii_um, edge_um=facts.edge_um)
