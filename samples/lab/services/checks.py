"""Vials that somebody looked at because their otolith did not go with their fish."""

from collections.abc import Iterable
from datetime import datetime

from samples.lab.rules import VIAL_CHECKED
from samples.lab.services.errors import CannotCheck
from samples.models import Reading, User, Vial, atomic_with_revision
from samples.models.signing import save_signed


@atomic_with_revision()
def mark_vials_checked(*, vials: Iterable[Vial], note: str, actor: User, now: datetime) -> int:
    """Note on every reading of these vials that each holds the otolith of its fish.

    Another count, or another reader, opens them again: the check knew nothing of it.

    :raises CannotCheck: if none of the vials has a reading
    """
    locked = list(
        Vial.objects.select_for_update().filter(pk__in=[one.pk for one in vials]).order_by("pk")
    )
    readings = list(Reading.objects.filter(vial__in=locked).order_by("pk"))
    if not readings:
        raise CannotCheck("no_reading", "These vials have no reading any more. Reload the page.")
    for reading in readings:
        reading.slip_answers = sorted({*reading.slip_answers, VIAL_CHECKED})
        reading._change_reason = note  # type: ignore[attr-defined]
        save_signed(reading, actor=actor, now=now, fields=["slip_answers"])
    return len({reading.vial_id for reading in readings})
