"""What donors of a lake get, switched on and off by the biologist."""

from datetime import datetime

from django.db import transaction

from samples.models import Lake, User
from samples.models.signing import save_signed


@transaction.atomic
def set_switches(
    lake: Lake, *, shares_pictures: bool, mails_donors: bool, actor: User, now: datetime
) -> None:
    """Say whether donors see pictures of their otoliths, and whether messages may be mailed."""
    kept = Lake.objects.select_for_update().get(pk=lake.pk)
    if (kept.shares_pictures, kept.mails_donors) == (shares_pictures, mails_donors):
        return
    kept.shares_pictures, kept.mails_donors = shares_pictures, mails_donors
    save_signed(kept, actor=actor, now=now, fields=["shares_pictures", "mails_donors"])
