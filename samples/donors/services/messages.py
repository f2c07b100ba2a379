"""The biologist's messages to the donors of a lake."""

from datetime import datetime, timedelta

from django.db import transaction

from samples.donors.services.mailing import queue_mails
from samples.models import DonorMessage, Lake, User
from samples.models.signing import save_signed

# As by a button that is pressed twice.
SENT_TWICE_WITHIN = timedelta(minutes=10)


@transaction.atomic
def post_message(
    lake: Lake, *, text: str, by_mail: bool, actor: User, now: datetime
) -> DonorMessage:
    """Show a message to all donors of a lake, and queue its mails where it is to be mailed.

    The same words again within minutes are the message that is out already.
    """
    Lake.objects.select_for_update().get(pk=lake.pk)
    last = DonorMessage.objects.filter(lake=lake, withdrawn_at__isnull=True)
    known = last.filter(text=text, posted_at__gt=now - SENT_TWICE_WITHIN).first()
    message = known or DonorMessage(lake=lake, text=text, posted_by=actor, posted_at=now)
    if known is None:
        save_signed(message, actor=actor, now=now)
    if by_mail:
        queue_mails(message, now=now)
    return message


@transaction.atomic
def edit_message(message: DonorMessage, *, text: str, actor: User, now: datetime) -> bool:
    """Change the words of a message; return False for one that was withdrawn meanwhile."""
    kept = DonorMessage.objects.select_for_update().get(pk=message.pk)
    if kept.withdrawn_at is not None:
        return False
    if kept.text != text:
        kept.text, kept.edited_at = text, now
        save_signed(kept, actor=actor, now=now, fields=["text", "edited_at"])
    return True


@transaction.atomic
def withdraw_message(message: DonorMessage, *, actor: User, now: datetime) -> None:
    """Take a message off phones and pages; mails of it that wait are not sent."""
    kept = DonorMessage.objects.select_for_update().get(pk=message.pk)
    if kept.withdrawn_at is not None:
        return
    kept.withdrawn_at, kept.withdrawn_by = now, actor
    save_signed(kept, actor=actor, now=now, fields=["withdrawn_at", "withdrawn_by"])
