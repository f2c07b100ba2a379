"""Look over marks on pictures: they say what the reading says that they belong to."""

from collections.abc import Iterator

from django.db.models import F, Q

from samples.maintenance.finding import Finding, count_of, few
from samples.models import MarkedRadius


def check_marks() -> Iterator[Finding]:
    """Find marks beside another count than their reading's, or on a picture of another vial."""
    rows = MarkedRadius.objects.order_by("pk")
    first = rows.filter(position=1).values_list("pk", "annuli_px", "reading__annuli")
    other_count = [pk for pk, marks, annuli in first.iterator() if len(marks) != annuli]
    elsewhere = rows.filter(~Q(picture__vial=F("reading__vial")) | Q(picture__vial=None))
    yield from _finding(
        "marks_beside_the_count",
        other_count,
        "not as many annuli as their reading",
        "Mark the otolith again, or type its count.",
    )
    yield from _finding(
        "marks_on_another_vial",
        list(elsewhere.values_list("pk", flat=True)),
        "a picture that is not of their reading's vial",
        "Match the picture to that vial again.",
    )


def _finding(code: str, pks: list[int], what: str, remedy: str) -> Iterator[Finding]:
    if not pks:
        return
    ids = tuple(map(str, pks))
    radii = count_of(len(ids), "marked radius has", "marked radii have")
    yield Finding(code, f"{radii} {what} (ids {few(ids)}). {remedy}", ids)
