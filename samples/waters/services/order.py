"""The biologist's order of arms, reaches and species."""

from collections.abc import Sequence
from typing import Protocol

from samples.models import Lake


class Orderable(Protocol):
    """A row that has its place in a list."""

    pk: int
    position: int

    def save(self) -> None: ...


def lock_lake(lake: Lake) -> None:
    """Lock a lake: changes to it wait for each other, so that names and places stay single."""
    Lake.objects.select_for_update().get(pk=lake.pk)


def move(rows: Sequence[Orderable], pk: int, *, up: bool) -> None:
    """Move one row a place up or down; at the end of the list nothing changes."""
    ordered = list(rows)
    here = next(place for place, row in enumerate(ordered) if row.pk == pk)
    there = here - 1 if up else here + 1
    if 0 <= there < len(ordered):
        ordered[here], ordered[there] = ordered[there], ordered[here]
    for place, row in enumerate(ordered):
        if row.position != place:
            row.position = place
            row.save()


def last_place(rows: Sequence[Orderable]) -> int:
    """Return the place after the last one."""
    return max((row.position for row in rows), default=-1) + 1
