"""Trays of clearing medium: what is in them, what is missing, and what is due."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Count, Max, Q, QuerySet

from samples.custody.rules import medium_text
from samples.models import WITHOUT_AN_OTOLITH, ClearingTray, Lake, TrayPlace, User, Vial

MOST_MISSING = 20
COLUMNS = 10


@dataclass(frozen=True, slots=True)
class Cell:
    """One place of a tray; without a number it is free."""

    place: int
    number: str = ""
    stands: str = "free"

    @property
    def label(self) -> str:
        """Return the digits of the sequence, as one compares them with a label in the hand."""
        return self.number[2:-1]


@dataclass(frozen=True, slots=True)
class Tally:
    """How many were scanned of those that belong together, and which are not yet."""

    count: int
    words: str
    expected: int | None = None
    missing: list[str] = field(default_factory=list)
    more_missing: int = 0


@dataclass(frozen=True, slots=True)
class TrayRow:
    """A tray in use, with what is to be done about it."""

    tray: ClearingTray
    count: int
    clearing: int
    due: int
    is_over: bool
    # The day on which the last of the vials in it is ready.
    ready_on: date
    due_since: date | None

    @property
    def title(self) -> str:
        """Return what the tray is for, and its medium."""
        tray = self.tray
        preparation = tray.get_preparation_display()
        medium = medium_text(tray.glycerin_parts, tray.ethanol_parts)
        return f"{preparation}, {tray.species or 'all species'}: {medium}"

    @property
    def days(self) -> int:
        return (self.tray.ready_on - self.tray.started_on).days

    @property
    def next_step(self) -> str:
        """Return "dry", "ready" or "wait": what comes next."""
        if self.is_over or (self.count and not self.clearing):
            return "dry"
        return "ready" if self.due else "wait"

    @property
    def is_due(self) -> bool:
        """Return whether the tray waits for another step than more vials."""
        return self.is_over or self.due > 0

    def is_early(self, what: str) -> bool:
        """Return whether it is too early to make any vial "ready", or to "dry" the tray."""
        if what == "dry":
            return self.tray.dried_on is None and self.clearing > self.due
        return what == "ready" and self.clearing > 0 and self.due == 0


def tray_rows(lake: Lake, today: date) -> list[TrayRow]:
    """List the trays in use, those to be rinsed or made ready first."""
    trays = _counted(lake, today).filter(dried_on__isnull=True)
    return [_row(tray, today) for tray in trays.order_by("ready_on", "started_at", "pk")]


def tray_counted(lake: Lake, pk: int, today: date) -> TrayRow | None:
    """Return one tray of a lake, in use or not."""
    tray = _counted(lake, today).filter(pk=pk).first()
    return _row(tray, today) if tray else None


def _counted(lake: Lake, today: date) -> QuerySet[ClearingTray]:
    clearing = Q(filled__vial__state=Vial.State.CLEARING)
    due = clearing & Q(filled__vial__ready_on__lte=today)
    trays = ClearingTray.objects.filter(lake=lake).select_related("lake", "species", "started_by")
    return trays.annotate(
        count=Count("filled"),
        clearing=Count("filled", filter=clearing),
        due=Count("filled", filter=due),
        all_ready_on=Max("filled__vial__ready_on", filter=clearing),
        due_since=Max("filled__vial__ready_on", filter=due),
    )


def _row(tray: Any, today: date) -> TrayRow:
    is_over = tray.rinse_by is not None and tray.rinse_by < today and tray.count > 0
    # What a dried tray held may clear in another one by now.
    in_use = tray.dried_on is None
    return TrayRow(
        tray,
        tray.count,
        tray.clearing if in_use else 0,
        tray.due if in_use else 0,
        is_over,
        tray.all_ready_on or tray.ready_on,
        tray.due_since,
    )


def last_scan(tray: ClearingTray, person: User) -> TrayPlace | None:
    """Return the last vial that a person scanned into a tray."""
    places = tray.filled.filter(scanned_by=person).select_related("vial__issued_to", "vial__season")
    return places.order_by("-scanned_at", "-pk").first()


def cells_of(tray: ClearingTray, last: TrayPlace | None) -> list[Cell]:
    """Return every place of a tray, filled or free, and whole rows of them."""
    filled = dict(tray.filled.values_list("place", "vial__number"))
    most = max([tray.size, *filled])
    after = max(filled, default=0) + 1

    def stands(place: int) -> str:
        if place in filled:
            return "last" if last is not None and place == last.place else "filled"
        return "next" if place == after else "free"

    return [Cell(place, filled.get(place, ""), stands(place)) for place in range(1, most + 1)]


def tally_of(tray: ClearingTray, count: int, last: TrayPlace | None) -> Tally:
    """Count a tray against what was received from whoever had the last vial scanned."""
    person = last.vial.issued_to if last else None
    if last is None or person is None:
        return Tally(count, "in the tray")
    theirs = Vial.objects.filter(season=last.vial.season_id, issued_to=person)
    here = theirs.filter(tray_places__tray=tray).count()
    waiting = waiting_to_clear(theirs).order_by("sequence")
    numbers = list(waiting.values_list("number", flat=True)[: MOST_MISSING + 1])
    total = waiting.count() if len(numbers) > MOST_MISSING else len(numbers)
    return Tally(
        here,
        f"of {person}'s {here + total}",
        here + total,
        numbers[:MOST_MISSING],
        max(0, total - MOST_MISSING),
    )


def waiting_to_clear(vials: QuerySet[Vial]) -> QuerySet[Vial]:
    """Leave those of the vials that were received with an otolith and are not cleared."""
    received = vials.filter(state=Vial.State.RECEIVED)
    return received.exclude(content__in=WITHOUT_AN_OTOLITH)
