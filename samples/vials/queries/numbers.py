"""Numbers, runs of labels, and what a label says."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.conf import settings

from samples.models import LabelRun, Lake, NumberYear, Printer, Season
from samples.rules import vial_number
from samples.vials.geometry import NO_NUDGE, Label, LabelStock, Nudge
from samples.vials.queries.stocks import stocks_at
from samples.vials.rules import NumberedYear

_USUAL_DIGITS = 4


@dataclass(frozen=True, slots=True)
class RunRow:
    """One run, its first and last number as printed, and its stock in words."""

    run: LabelRun
    first: str
    last: str
    stock: str


def season_for_labels(lake: Lake, today: date) -> Season | None:
    """Return the season under way or the next to come, else the last that was."""
    seasons = Season.objects.filter(lake=lake)
    ahead = seasons.filter(ends_on__gte=today).order_by("starts_on")
    return ahead.first() or seasons.order_by("-ends_on").first()


def digits_of(year: int) -> int:
    """Return how many digits the sequence of a year has."""
    row = NumberYear.objects.filter(year=year).first()
    return row.digits if row else _USUAL_DIGITS


def numbered_year(year: int) -> NumberedYear:
    """Return a year of numbers with the digits that they have."""
    return NumberedYear(year, digits_of(year))


def next_sequence(year: int) -> int:
    """Return the place that the next number of a year will take."""
    row = NumberYear.objects.filter(year=year).first()
    return row.last_sequence + 1 if row else 1


def last_number(year: int) -> str:
    """Return the last number printed for a year, as on its label; nothing if there is none."""
    row = NumberYear.objects.filter(year=year, last_sequence__gt=0).first()
    if row is None:
        return ""
    return vial_number.grouped(vial_number.make(year, row.last_sequence, row.digits))


def ends_of(run: LabelRun, digits: int) -> tuple[str, str]:
    """Return the first and the last number of a run, as on their labels."""
    year, last = run.season.number_year, run.first_sequence + run.count - 1
    ends = (vial_number.make(year, at, digits) for at in (run.first_sequence, last))
    first, final = (vial_number.grouped(number) for number in ends)
    return first, final


def run_row(run: LabelRun) -> RunRow:
    """Describe one run."""
    stocks = stocks_at(run.season.lake, retired=True)
    return _row(run, digits_of(run.season.number_year), stocks)


def _row(run: LabelRun, digits: int, stocks: Mapping[str, LabelStock]) -> RunRow:
    first, last = ends_of(run, digits)
    stock = stocks.get(run.stock)
    return RunRow(run, first, last, stock.description if stock else "Stock no longer listed")


def runs(lake: Lake, *, most: int = 50) -> list[RunRow]:
    """List the runs of a lake, the newest first."""
    digits = dict(NumberYear.objects.values_list("year", "digits"))
    made = (
        LabelRun.objects.filter(season__lake=lake)
        .select_related("season", "made_by")
        .order_by("-made_at", "-pk")[:most]
    )
    stocks = stocks_at(lake, retired=True)
    return [_row(run, digits.get(run.season.number_year, _USUAL_DIGITS), stocks) for run in made]


def label_of(number: str, season: Season) -> Label:
    """Return what stands on the label of a number."""
    return Label(
        number=number,
        grouped=vial_number.grouped(number),
        link=_link(number),
        lake=season.lake.name,
        season=season.name,
    )


def sample_label(lake: Lake, season: Season | None) -> Label:
    """Return a label to look at a stock with; its number is that of no vial."""
    year = season.number_year if season else 2026
    number = vial_number.make(year, 147, digits_of(year))
    name = season.name if season else str(year)
    return Label(number, vial_number.grouped(number), _link(number), lake.name, name)


def labels_carry_links() -> bool:
    """Return whether a label's code can lead to the form of its vial."""
    return _link("26000013") is not None


def _link(number: str) -> str | None:
    """Return where the label's symbol leads; nowhere if the site has no address fit for it."""
    if not settings.PUBLIC_ADDRESS:
        return None
    try:
        return vial_number.link(settings.PUBLIC_ADDRESS, number)
    except ValueError:
        return None


def nudge_for(lake: Lake, stock: str) -> Nudge:
    """Return how far the lake's printer is off on a stock."""
    printer = Printer.objects.filter(lake=lake, stock=stock).first()
    if printer is None:
        return NO_NUDGE
    return Nudge(
        right_mm=printer.right_tenths_mm / 10,
        down_mm=printer.down_tenths_mm / 10,
        scale_across=printer.scale_across_per_mille / 1000,
        scale_down=printer.scale_down_per_mille / 1000,
    )
