"""What is found when the data are looked over, and the words for it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, QuerySet

from samples.models import Vial
from samples.rules import vial_number

_NAMED = 5


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was found.

    Attributes
    ----------
    code : str
        Short and stable, for programs: "orphan", "short_run".
    sentence : str
        What is wrong and what to do, fit to show.
    where : tuple of str
        What it is about: ids of rows (the first few), numbers of vials.
    is_problem : bool
        Whether it should never be; otherwise it is work that waits.
    """

    code: str
    sentence: str
    where: tuple[str, ...] = ()
    is_problem: bool = True


def count_of(count: int, one: str, many: str) -> str:
    """Return a count with its noun: "3 vials"."""
    return f"{count:,} {one if count == 1 else many}"


def rows_of(count: int, model: type[Model]) -> str:
    """Return how many rows of a table: "3 of the readings"."""
    return f"{count:,} of the {model._meta.verbose_name_plural}"


def a_row(field: Any) -> str:
    """Return what a column names: "a vial"."""
    return f"a {field.related_model._meta.verbose_name}"


def first_ids(rows: QuerySet[Any]) -> tuple[str, ...]:
    """Return as many ids as a sentence names, and one more where there are more."""
    first = rows.order_by("pk").values_list("pk", flat=True)[: _NAMED + 1]
    return tuple(str(pk) for pk in first)


def few(values: Sequence[str]) -> str:
    """Return the first few, and whether there are more."""
    words = ", ".join(values[:_NAMED])
    return f"{words} ..." if len(values) > _NAMED else words


def named_vials(numbers: Sequence[str]) -> str:
    """Return the first few vials as printed on their labels."""
    return few([vial_number.grouped(number) for number in numbers])


def find_rows(
    code: str, rows: QuerySet[Any], one: str, many: str, what: str, advice: str
) -> Iterator[Finding]:
    """Yield a finding about rows of a table, if there are any."""
    if count := rows.count():
        ids = first_ids(rows)
        sentence = f"{count_of(count, one, many)} {what} (ids {few(ids)}). {advice}"
        yield Finding(code, sentence, ids)


def find_vials(
    code: str, rows: QuerySet[Vial], what: str, advice: str, *, is_problem: bool = True
) -> Iterator[Finding]:
    """Yield a finding about vials, if there are any."""
    numbers = tuple(rows.order_by("number").values_list("number", flat=True))
    if numbers:
        yield Finding(
            code,
            f"Vials that {what} ({len(numbers):,}): {named_vials(numbers)}. {advice}",
            numbers,
            is_problem,
        )
