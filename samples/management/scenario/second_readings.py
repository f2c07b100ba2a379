"""Second readings of the scenario: it draws every fourth vial itself, whatever the vial is like."""

from __future__ import annotations

from django.db.models import Exists, OuterRef

from samples.models import Lake, Reading, ReadingStream, SecondReadingDraw, Vial


def mark_as_drawn(vial: Vial) -> None:
    """Note that a vial is drawn, before its second reading is saved."""
    SecondReadingDraw.objects.filter(vial=vial).update(is_drawn=True)


def leave_past_seasons(lake: Lake, number_year: int) -> None:
    """Leave nothing due of the seasons before one: what was not read twice is archived by now."""
    second = Reading.objects.filter(vial=OuterRef("vial"), stream=ReadingStream.SECOND)
    past = SecondReadingDraw.objects.filter(season__lake=lake, season__number_year__lt=number_year)
    past.exclude(Exists(second)).update(is_drawn=False)
