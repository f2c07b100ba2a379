"""Mails of a message: one to each donor who asked for mail, each of them once."""

import logging
from collections.abc import Callable
from datetime import datetime
from smtplib import SMTPException, SMTPRecipientsRefused

from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import Exists, OuterRef

from samples.donors.queries import addresses_to_mail, unanswered
from samples.models import DonorAddress, DonorMail, DonorMessage

log = logging.getLogger(__name__)
State = DonorMail.State
# Puts a mail into words: who sends it knows where the site is.
MailMaker = Callable[[DonorMail], EmailMessage]


@transaction.atomic
def queue_mails(message: DonorMessage, *, now: datetime) -> int:
    """Queue a mail of a message to each address that has none, and those that failed again.

    Nothing is queued of a message that was withdrawn, or where the lake mails nobody.
    """
    kept = DonorMessage.objects.select_for_update().select_related("lake").get(pk=message.pk)
    if kept.withdrawn_at is not None or not kept.lake.mails_donors:
        return 0
    known = DonorMail.objects.filter(message=kept, address=OuterRef("pk"))
    new = addresses_to_mail(kept.lake).filter(~Exists(known))
    made = DonorMail.objects.bulk_create(
        [DonorMail(message=kept, address=one, queued_at=now) for one in new],
        ignore_conflicts=True,
    )
    failed = kept.mails.filter(state=State.FAILED)
    return len(made) + failed.update(state=State.QUEUED, queued_at=now, tried_at=None, problem="")


@transaction.atomic
def queue_unanswered(message: DonorMessage, *, now: datetime) -> int:
    """Queue the mails again of which no sender told whether they went; return how many.

    Somebody chose that: a donor may get one of them twice.
    """
    kept = DonorMessage.objects.select_for_update().select_related("lake").get(pk=message.pk)
    if kept.withdrawn_at is not None or not kept.lake.mails_donors:
        return 0
    silent = kept.mails.filter(unanswered(now), address__stopped_at__isnull=True)
    return silent.update(state=State.QUEUED, queued_at=now, tried_at=None)


def send_queued(
    message: DonorMessage, make_mail: MailMaker, *, clock: Callable[[], datetime]
) -> int:
    """Send the mails of a message that wait, and return how many went.

    Each is claimed before it is handed over: one whose sender dies in between is not sent again,
    since nobody can tell whether it went.
    """
    sent = 0
    for pk in list(
        message.mails.filter(state=State.QUEUED).order_by("pk").values_list("pk", flat=True)
    ):
        mail = _claim(pk, now=clock())
        if mail is None:
            continue
        problem = _hand_over(make_mail(mail))
        state = State.FAILED if problem else State.SENT
        held = DonorMail.objects.filter(pk=pk, state=State.SENDING)
        held.update(state=state, problem=problem, tried_at=clock())
        sent += not problem
    return sent


def _claim(pk: int, *, now: datetime) -> DonorMail | None:
    """Take a mail that waits, if it is still wanted; nothing if another worker has it."""
    wanted = DonorMail.objects.filter(
        pk=pk,
        state=State.QUEUED,
        message__withdrawn_at__isnull=True,
        message__lake__mails_donors=True,
        address__in=DonorAddress.objects.filter(stopped_at__isnull=True),
    )
    if not DonorMail.objects.filter(pk__in=wanted.values("pk"), state=State.QUEUED).update(
        state=State.SENDING, tried_at=now
    ):
        return None
    found = DonorMail.objects.select_related("message__lake", "address__donor__person")
    return found.filter(pk=pk).first()


def _hand_over(mail: EmailMessage) -> str:
    """Hand a mail to the server; return why it was not taken, or nothing."""
    try:
        mail.send()
    except SMTPRecipientsRefused:
        return "The mail server refused the address."
    except (OSError, SMTPException, ValueError):
        # ValueError: an address or a title that cannot stand in the head of a mail.
        log.exception("A message to a donor could not be mailed")
        return "The mail server could not be reached or refused the mail."
    return ""
