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

    Last digits are looked for among the vials that are ``expected``, then among all of the lake.
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
    for vials in (expected, Vial.objects.filter(lake=lake)):
        found = vials.filter(ending).order_by("-number").values_list("number", flat=True)
        numbers = list(found[: MOST_CHOICES + 1])
        if len(numbers) == 1:
            return numbers[0]
        if numbers:
            raise refused(
                "several",
                f"More than one vial ends in {digits}: {_listed(numbers)}. Type the whole number, "
                "or scan the label.",
                choices=tuple(numbers[:MOST_CHOICES]),
            )
    raise refused("none_found", f"No vial of {lake} ends in {digits}. Read the label again.")


def _listed(numbers: list[str]) -> str:
    words = ", ".join(vial_number.grouped(number) for number in numbers[:MOST_CHOICES])
    return f"{words} and more" if len(numbers) > MOST_CHOICES else words


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
