"""Taking numbers for labels. A number is given out once, whoever asks at the same moment."""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from simple_history.utils import bulk_create_with_history

from samples.models import LabelPrint, LabelRun, NumberYear, Season, User, Vial
from samples.rules import vial_number
from samples.vials import pdf, queries
from samples.vials.geometry import CannotPrint, LabelStock
from samples.vials.services.errors import CannotMakeRun, CannotSetWidth
from samples.vials.services.sheets import SheetStart, begin_sheet, leave_sheet

MOST_LABELS = 10_000
_BATCH = 500


@transaction.atomic
def make_run(
    *,
    season: Season,
    count: int,
    stock: str,
    first_position: int,
    request_id: UUID,
    actor: User,
    now: datetime,
    sheet_version: int | None = None,
    runs_down: bool = False,
    twins: bool = False,
) -> LabelRun:
    """Take the next numbers of the season's year and make their vials.

    The same request again gives the run that it made: a double tap makes one run. With a
    `sheet_version` they begin on the part-used sheet, else on a sheet of which the positions
    before the first are used.

    :raises CannotMakeRun: if a number, stock or place is not to be had; none is taken then
    """
    sheet = queries.find_stock(season.lake, stock)
    if sheet is None:
        raise CannotMakeRun("unknown_stock", "Choose a label stock from the list.", "stock")
    _check_count(count)
    year = locked_year(season.number_year)
    made = LabelRun.objects.select_related("season").filter(request_id=request_id).first()
    wanted = (season.pk, count, stock, first_position, runs_down, twins)
    if made is not None:
        return _made_before(made, wanted, year)
    _check_room(year, count)
    start = SheetStart(first_position, sheet_version, runs_down=runs_down, twins=twins)
    begun = begin_sheet(season.lake, sheet, start, CannotMakeRun)
    first = year.last_sequence + 1
    _check_text(season, sheet, vial_number.make(year.year, first, year.digits))
    run = LabelRun.objects.create(
        season=season,
        first_sequence=first,
        count=count,
        stock=stock,
        first_position=first_position,
        made_by=actor,
        made_at=now,
        request_id=request_id,
    )
    vials = [
        Vial(
            number=vial_number.make(year.year, sequence, year.digits),
            lake_id=season.lake_id,
            season=season,
            run=run,
            sequence=sequence,
        )
        for sequence in range(first, first + count)
    ]
    bulk_create_with_history(vials, Vial, batch_size=_BATCH, default_user=actor, default_date=now)
    year.last_sequence = first + count - 1
    year.save(update_fields=["last_sequence"])
    LabelPrint.objects.create(
        lake=season.lake,
        run=run,
        year=year.year,
        ranges=[[first, first + count - 1]],
        count=count,
        stock=stock,
        first_position=first_position,
        used=sorted(begun.used),
        runs_down=runs_down,
        twins=twins,
        made_by=actor,
        made_at=now,
        request_id=request_id,
    )
    went_on = sheet_version is not None
    leave_sheet(season.lake, sheet, first_position, begun, count, went_on=went_on, now=now)
    return run


def _check_count(count: int) -> None:
    if not 1 <= count <= MOST_LABELS:
        raise CannotMakeRun(
            "count", f"Enter how many labels: 1 to {MOST_LABELS:,} at a time.", "count"
        )


def locked_year(year: int) -> NumberYear:
    """Lock a year's numbers: whoever comes second waits until the first has taken theirs."""
    NumberYear.objects.get_or_create(year=year)
    return NumberYear.objects.select_for_update().get(year=year)


def _made_before(
    run: LabelRun, wanted: tuple[int, int, str, int, bool, bool], year: NumberYear
) -> LabelRun:
    printed = LabelPrint.objects.filter(run=run).first()
    order = (printed.runs_down, printed.twins) if printed else (False, False)
    if (run.season_id, run.count, run.stock, run.first_position, *order) == wanted:
        return run
    first, last = queries.ends_of(run, year.digits)
    raise CannotMakeRun(
        "already_made",
        f"This page already made {first} to {last}. Reload it to make more.",
    )


def check_numbers_left(year: int, count: int) -> None:
    """Check before a run is made, and nothing is locked, that a year has numbers for it.

    :raises CannotMakeRun: saying how many are left
    """
    _check_room(NumberYear.objects.filter(year=year).first() or NumberYear(year=year), count)


def _check_room(year: NumberYear, count: int) -> None:
    left = 10**year.digits - 1 - year.last_sequence
    if count <= left:
        return
    if left == 0:
        raise CannotMakeRun(
            "used_up",
            f"All numbers of {year.year} are used: with {year.digits} digits there are "
            f"{10**year.digits - 1:,}. Use a season of another year, with more digits.",
            "count",
        )
    raise CannotMakeRun(
        "used_up",
        f"Only {left:,} numbers are left for {year.year}: with {year.digits} digits there are "
        f"{10**year.digits - 1:,}. Ask for {left:,} at most.",
        "count",
    )


def _check_text(season: Season, stock: LabelStock, number: str) -> None:
    """See that the label's words fit before a number is taken for it."""
    try:
        pdf.arrange_label(queries.label_of(number, season), stock)
    except CannotPrint as problem:
        raise CannotMakeRun(problem.code, str(problem), "stock") from problem


@transaction.atomic
def set_number_width(*, year: int, digits: int) -> NumberYear:
    """Set how many digits the sequence of a year has, before its first number is taken.

    :raises CannotSetWidth: if a number of the year was taken, or the width is none we have
    """
    if digits not in vial_number.SEQUENCE_DIGITS:
        raise CannotSetWidth("width", "Choose 4, 5 or 6 digits.", "digits")
    row = locked_year(year)
    if row.digits == digits:
        return row
    if row.last_sequence or LabelRun.objects.filter(season__number_year=year).exists():
        raise CannotSetWidth(
            "already_printed",
            f"Numbers of {year} are printed with {row.digits} digits, and stay so to the end.",
            "digits",
        )
    row.digits = digits
    row.save(update_fields=["digits"])
    return row
