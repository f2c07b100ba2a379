"""Look over net plans and net sets: stations are places of the lake, counts are of net sets."""

from collections.abc import Iterator

from django.db.models import F, Q

from samples.maintenance.finding import Finding, find_rows
from samples.models import LengthCount, PlannedSets


def check_nets() -> Iterator[Finding]:
    """Find stations of another lake or arm, and counts by length of a trip without an effort."""
    yield from find_rows(
        "plan_of_another_place",
        PlannedSets.objects.filter(
            ~Q(arm__lake=F("season__lake")) | Q(reach__isnull=False) & ~Q(reach__arm=F("arm"))
        ),
        "planned net set is",
        "planned net sets are",
        "at an arm or reach that is not of their lake or arm",
        "Save the net plan again.",
    )
    yield from find_rows(
        "count_of_no_net_set",
        LengthCount.objects.filter(party__net_nights__isnull=True),
        "count by length belongs",
        "counts by length belong",
        "to a trip without net nights",
        "Enter the net nights of that trip; its fish are in no catch per net night.",
    )
