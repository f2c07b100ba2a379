"""Reading sessions that say something else than their readings do."""

from collections.abc import Iterator

from django.db.models import Exists, F, OuterRef, Q

from samples.maintenance.finding import Finding
from samples.models import OtolithOutcome, Reading, SessionOtolith


def sessions_beside_their_readings() -> Iterator[Finding]:
    """Find otoliths marked as read without a reading, the other way round, and of another vial."""
    reading = Reading.objects.filter(session_otolith=OuterRef("pk"))
    rows = SessionOtolith.objects.annotate(has_reading=Exists(reading)).filter(
        Q(outcome=OtolithOutcome.READ, has_reading=False)
        | (~Q(outcome=OtolithOutcome.READ) & Q(has_reading=True))
        | (Q(has_reading=True) & ~Q(reading__vial=F("vial")))
        | (Q(has_reading=True) & ~Q(reading__reader=F("session__reader")))
    )
    numbers = tuple(rows.order_by("vial__number").values_list("vial__number", flat=True))
    if numbers:
        one = len(numbers) == 1
        yield Finding(
            "session_beside_its_reading",
            f"{len(numbers)} {'otolith' if one else 'otoliths'} of reading sessions "
            f"{'does' if one else 'do'} not match {'its reading' if one else 'their readings'}. "
            "Restore a backup from before that, or read them again in another session.",
            numbers,
        )
