"""The one count behind coverage: done in SQL, from the coverage index alone."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, F, QuerySet

from samples.models import Fish, Progress
from samples.targets.queries.choice import Choice

# From which progress on a fish counts as ...
FROM = {
    "logged": Progress.LOGGED,
    "received": Progress.RECEIVED,
    "aged": Progress.AGE_AS_GIVEN,
}
Row = tuple[int, int, int, int | None, int]


@dataclass(frozen=True, slots=True)
class Tally:
    """The fish of one arm and bin, by how far their samples have come and by donor."""

    by_progress: tuple[int, ...]
    by_donor: dict[int | None, tuple[int, ...]]

    def at_least(self, progress: int) -> int:
        return sum(self.by_progress[progress:])

    @property
    def measured(self) -> int:
        return sum(self.by_progress)

    @property
    def one_reader(self) -> int:
        return self.by_progress[Progress.ONE_READER]

    @property
    def as_given(self) -> int:
        return self.by_progress[Progress.AGE_AS_GIVEN]

    def waiting(self, level: int) -> int:
        """Logged, and not yet as far as is counted."""
        return sum(self.by_progress[Progress.LOGGED : level])


def largest_donor(found: Iterable[Tally], level: int) -> tuple[int | None, int, int]:
    """Give who gave most of the fish that came so far, how many they gave, and of how many.

    Fish of nobody named are among the many, and are nobody's share.
    """
    given: dict[int | None, int] = {}
    for tally in found:
        for donor, counts in tally.by_donor.items():
            given[donor] = given.get(donor, 0) + sum(counts[level:])
    n = sum(given.values())
    given.pop(None, None)
    if not given:
        return None, 0, n
    top = max(given, key=lambda donor: (given[donor], -(donor or 0)))
    return top, given[top], n


def count_rows(fish: QuerySet[Fish], choice: Choice) -> "QuerySet[Fish, Row]":
    """Count those of a person's fish that the choice is about by arm, bin, progress and donor.

    Every column named here is in the index `fish_coverage`, and rows are counted with
    ``COUNT(*)``: the database reads the index and no row. The bin is a division of
    integers, so it is exact.
    """
    return (
        fish.filter(**choice.where())
        .order_by()
        .annotate(bin=F("length_hundredths_mm") / choice.bin_width)
        .values_list("arm_id", "bin", "progress", "donor_id")
        .annotate(n=Count("*"))
    )


def tallies(rows: "list[Row]") -> dict[tuple[int, int], Tally]:
    """Shape the counted rows into one tally for each arm and bin; bins by number."""
    donors: dict[tuple[int, int], dict[int | None, list[int]]] = {}
    for arm, place, progress, donor, n in rows:
        cell = donors.setdefault((arm, place), {})
        cell.setdefault(donor, [0] * len(Progress))[progress] += n
    return {
        key: Tally(
            tuple(map(sum, zip(*cell.values(), strict=True))),
            {donor: tuple(counts) for donor, counts in cell.items()},
        )
        for key, cell in donors.items()
    }
