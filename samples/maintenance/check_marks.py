"""Look over marks on pictures: they say what the reading says that they belong to."""

from collections.abc import Iterator

from django.db.models import F, Q

from samples.maintenance.finding import Finding, find_rows
from samples.models import MarkedRadius

_RADII = ("marked radius has", "marked radii have")


def check_marks() -> Iterator[Finding]:
    """Find marks beside another count than their reading's, or on a picture of another vial."""
    rows = MarkedRadius.objects.order_by("pk")
    first = rows.filter(position=1).values_list("pk", "annuli_px", "reading__annuli")
    other_count = [pk for pk, marks, annuli in first.iterator() if len(marks) != annuli]
    elsewhere = rows.filter(~Q(picture__vial=F("reading__vial")) | Q(picture__vial=None))
    yield from find_rows(
        "marks_beside_the_count",
        rows.filter(pk__in=other_count),
        *_RADII,
        "not as many annuli as their reading",
        "Mark the otolith again, or type its count.",
    )
    yield from find_rows(
        "marks_on_another_vial",
        elsewhere,
        *_RADII,
        "a picture that is not of their reading's vial",
        "Match the picture to that vial again.",
    )
