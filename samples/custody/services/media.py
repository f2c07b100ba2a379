"""The media that a laboratory clears in."""

from datetime import datetime

from django.db import transaction

from samples.custody.rules import Medium
from samples.models import ClearingMedium, Lake, Species, User
from samples.models.signing import delete_signed, save_signed


@transaction.atomic
def set_medium(
    *,
    lake: Lake,
    species: Species | None,
    preparation: str,
    medium: Medium,
    actor: User,
    now: datetime,
) -> ClearingMedium:
    """Say what otoliths of a species and preparation are cleared in from now on."""
    Lake.objects.select_for_update().get(pk=lake.pk)
    row = ClearingMedium.objects.filter(
        lake=lake, species=species, preparation=preparation
    ).first() or ClearingMedium(lake=lake, species=species, preparation=preparation)
    row.glycerin_parts, row.ethanol_parts = medium.glycerin_parts, medium.ethanol_parts
    row.ready_after_days, row.rinse_within_days = (
        medium.ready_after_days,
        medium.rinse_within_days,
    )
    save_signed(row, actor=actor, now=now)
    return row


def forget_medium(*, lake: Lake, pk: int, actor: User, now: datetime) -> bool:
    """Go back to the usual medium; return whether there was one of the laboratory's own."""
    row = ClearingMedium.objects.filter(lake=lake, pk=pk).first()
    if row is None:
        return False
    delete_signed(row, actor=actor, now=now)
    return True
