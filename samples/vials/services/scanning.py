"""Reading a scanned or typed number, and putting a vial back where it was."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from samples.models import Lake, Vial
from samples.rules import vial_number
from samples.vials.services.errors import ScanRefused
from samples.vials.services.locked import locked_vial

FEWEST_DIGITS = 3
MOST_CHOICES = 5


def locked_scan(
    lake: Lake, typed: str, expected: QuerySet[Vial], refused: type[ScanRefused]
) -> Vial:
    """Lock the vial that was scanned, or whose last digits were typed."""
    return locked_vial(lake, scanned_number(lake, typed, expected, refused), refused)


def scanned_number(
    lake: Lake, typed: str, expected: QuerySet[Vial], refused: type[ScanRefused]
) -> str:
    """Return the number that was scanned, or that ends in the digits typed.

    Last digits that fit more than one vial of the lake are asked about, those that are
    ``expected`` first.
    """
    try:
        return vial_number.parse(typed).number
    except vial_number.VialNumberRefused as problem:
        if problem.code != "too_short":
            raise refused(problem.code, problem.sentence) from problem
        return _number_ending(lake, _digits(typed), expected, refused)


def _digits(typed: str) -> str:
    return "".join(filter(str.isdecimal, typed))


def _number_ending(
    lake: Lake, digits: str, expected: QuerySet[Vial], refused: type[ScanRefused]
) -> str:
    if len(digits) < FEWEST_DIGITS:
        raise refused("few_digits", f"{digits} is too short. Type the last 4 digits, such as 0147.")
    # The check digit is counted or left out.
    ending = Q(number__endswith=digits) | Q(number__regex=rf"{digits}[0-9]$")
    likely = _newest(expected.filter(ending))
    # One that is not expected may be in hand too: which one it is only the label tells.
    others = _newest(Vial.objects.filter(ending, lake=lake).exclude(number__in=likely))
    numbers = likely + others
    if not numbers:
        raise refused("none_found", f"No vial of {lake} ends in {digits}. Read the label again.")
    if len(numbers) > 1:
        raise refused(
            "several",
            f"{digits} could be {_listed(numbers)}. Choose one, or scan the label.",
            choices=tuple(numbers[:MOST_CHOICES]),
        )
    return numbers[0]


def _newest(vials: QuerySet[Vial]) -> list[str]:
    """Return the newest numbers, one more than are offered."""
    found = vials.order_by("-number").values_list("number", flat=True)
    return list(found[: MOST_CHOICES + 1])


def _listed(numbers: list[str]) -> str:
    words = [vial_number.grouped(number) for number in numbers[:MOST_CHOICES]]
    if len(numbers) > MOST_CHOICES:
        return f"{', '.join(words)} or another"
    return f"{', '.join(words[:-1])} or {words[-1]}"


def put_back(vial: Vial, fields: Iterable[str], *, since: Iterable[str] = ()) -> None:
    """Set columns of a vial to what they were before its last move, as its history tells.

    That is the last row in which one of them was another; in which one of ``since`` was, where
    those are named. A vial without such a row came with old data, as received.
    """
    columns = _columns(fields)
    telling = _columns(since) or columns
    rows = vial.history.order_by("-history_date", "-history_id").values(*columns)
    before = next(
        (row for row in rows if any(row[name] != getattr(vial, name) for name in telling)), None
    )
    for name, value in (before or {"state": Vial.State.RECEIVED}).items():
        setattr(vial, name, value)


def _columns(fields: Iterable[str]) -> list[str]:
    fields = set(fields)
    return [one.attname for one in Vial._meta.concrete_fields if one.name in fields]


def check_is_last(number: str, last: Vial, refused: type[ScanRefused]) -> None:
    """Refuse to undo another scan than the last: a button was pressed twice, or a page is old."""
    if number != last.number:
        raise refused(
            "not_the_last",
            f"Nothing was undone. Your last scan here is {vial_number.grouped(last.number)} now.",
        )
