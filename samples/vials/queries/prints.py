"""Labels that are printed together: which numbers, on what, and of what their file is drawn."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from uuid import UUID

from django.conf import settings
from django.db.models import Q, QuerySet

from samples.models import LabelPrint, Lake, Season, Vial
from samples.rules import vial_number
from samples.vials.geometry import Filling, Label, LabelStock, Nudge
from samples.vials.queries.numbers import label_of, next_sequence, nudge_for, numbered_year
from samples.vials.queries.stocks import find_stock

Ranges = Iterable[tuple[int, int]]
# Raised when labels are drawn in another way: kept files are drawn again then.
DRAWN_BY = 1
MOST_PRINTS = 20


@dataclass(frozen=True, slots=True)
class PrintJob:
    """All that a file of labels is drawn from, besides the labels themselves."""

    label_print: LabelPrint
    stock: LabelStock
    nudge: Nudge

    @property
    def filling(self) -> Filling:
        row = self.label_print
        return Filling(frozenset(row.used), runs_down=row.runs_down, twins=row.twins)

    @property
    def labels_drawn(self) -> int:
        return self.label_print.count * self.filling.copies

    def digest(self) -> str:
        """Return a digest of what is drawn: another one wants another file."""
        row = self.label_print
        vials = vials_of(row.lake, row.year, row.ranges)
        void = vials.filter(state=Vial.State.VOID).order_by("sequence")
        names = vials.order_by("season").values_list("season", "season__name").distinct()
        parts = (
            DRAWN_BY,
            settings.PUBLIC_ADDRESS,
            row.lake.name,
            list(names),
            list(void.values_list("sequence", flat=True)),
            row.ranges,
            row.first_position,
            sorted(row.used),
            row.runs_down,
            row.twins,
            self.stock,
            self.nudge,
        )
        return sha256(repr(parts).encode()).hexdigest()


def print_job(label_print: LabelPrint) -> PrintJob | None:
    """Return what a print is drawn from; nothing if its stock is not known any more."""
    stock = find_stock(label_print.lake, label_print.stock)
    if stock is None:
        return None
    return PrintJob(label_print, stock, nudge_for(label_print.lake, stock.code))


def find_made(lake: Lake, request_id: str) -> LabelPrint | None:
    """Return what a request made before: a second tap on a button sends it again."""
    try:
        return LabelPrint.objects.filter(lake=lake, request_id=UUID(request_id)).first()
    except ValueError:
        return None


def vials_of(lake: Lake, year: int, ranges: Ranges) -> QuerySet[Vial]:
    """Return the vials of a lake whose numbers lie in ranges of a year."""
    within = Q(pk__in=[])
    for first, last in ranges:
        within |= Q(sequence__range=(first, last))
    return Vial.objects.filter(within, lake=lake, season__number_year=year)


def labels_to_print(label_print: LabelPrint) -> Iterator[Label]:
    """Return the labels of a print, in order; void numbers are not printed again."""
    return labels_in(label_print.lake, label_print.year, label_print.ranges)


def labels_in(lake: Lake, year: int, ranges: Ranges) -> Iterator[Label]:
    """Return the labels of ranges of numbers, in order, without those that are void."""
    seasons = Season.objects.filter(lake=lake, number_year=year).select_related("lake").in_bulk()
    printed = vials_of(lake, year, ranges).exclude(state=Vial.State.VOID)
    rows = printed.order_by("sequence").values_list("number", "season")
    return (label_of(number, seasons[season]) for number, season in rows)


def labels_to_come(season: Season, count: int) -> list[Label]:
    """Return the next labels of a season's year.

    :raises NoSuchNumber: if the year has not so many numbers
    """
    year, first = numbered_year(season.number_year), next_sequence(season.number_year)
    numbers = (
        vial_number.make(year.year, place, year.digits) for place in range(first, first + count)
    )
    return [label_of(number, season) for number in numbers]


def ends_of_print(label_print: LabelPrint) -> tuple[str, str]:
    """Return the first and last number of a print, digits only."""
    year = numbered_year(label_print.year)
    ends = (label_print.ranges[0][0], label_print.ranges[-1][1])
    first, last = (vial_number.make(year.year, place, year.digits) for place in ends)
    return first, last


def numbers_printed(label_print: LabelPrint) -> str:
    """Return the numbers of a print, as on their labels."""
    year = numbered_year(label_print.year)
    parts = (
        f"{year.named(first)} to {year.named(last)}" if first != last else year.named(first)
        for first, last in label_print.ranges
    )
    return ", ".join(parts)


def season_of_number(lake: Lake, number: str) -> Season | None:
    """Return the season of a vial's whole number, if it is one of the lake's."""
    try:
        read = vial_number.parse(number)
    except vial_number.VialNumberRefused:
        return None
    vial = Vial.objects.filter(lake=lake, number=read.number).select_related("season").first()
    return vial.season if vial else None


def newest_season_printed(lake: Lake) -> Season | None:
    """Return the newest season that has labels."""
    printed = Season.objects.filter(lake=lake, label_runs__isnull=False)
    return printed.order_by("-starts_on").first()


def prints_at(lake: Lake) -> list[LabelPrint]:
    """List what was printed again last, the newest first."""
    again = LabelPrint.objects.filter(lake=lake, run=None).select_related("made_by")
    return list(again.order_by("-made_at", "-pk")[:MOST_PRINTS])
