"""Messages mailed by a worker beside the pages."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from samples.computations.requests import request_computation
from samples.computations.results import digest
from samples.computations.running import Progress
from samples.donors import services
from samples.donors.queries import seasons_of
from samples.models import Computation, DonorMail, DonorMessage

KIND = "donor_mail"
# A mail server takes about this long for each.
SECONDS_A_MAIL = 1.0


def request_mailing(message: DonorMessage, *, site: str, now: datetime) -> Computation:
    """Begin to send the mails of a message that wait; ``site`` is the address of the site."""
    waiting = message.mails.filter(state=DonorMail.State.QUEUED).count()
    return request_computation(
        kind=KIND,
        key=digest(KIND, message.pk),
        # What was queued later is other work, though the message is the same.
        revision=now.isoformat(),
        arguments={"message": message.pk, "site": site, "asked_at": now.isoformat()},
        expected_s=waiting * SECONDS_A_MAIL,
        now=now,
        again=True,
    )


def compute_mailing(arguments: dict[str, Any], progress: Progress) -> tuple[str, int]:
    """Send the mails of a message that wait; return how many went."""
    message = DonorMessage.objects.filter(pk=arguments["message"]).first()
    if message is None:
        return str(arguments["asked_at"]), 0

    def make_mail(mail: DonorMail) -> EmailMessage:
        progress(50, "Sending")
        return mail_of(mail, site=arguments["site"])

    clock = timezone.now  # noqa: TID251 - a worker has no page whose moment counts
    sent = services.send_queued(message, make_mail, clock=clock)
    return str(arguments["asked_at"]), sent


def mail_of(mail: DonorMail, *, site: str) -> EmailMessage:
    """Put a message into a mail to one donor, with the link that stops them."""
    donor = mail.address.donor
    stop = f"{site}{reverse('donors:stop_mail', args=[services.token_of(mail.address)])}"
    given = seasons_of(donor)
    words = {
        "message": mail.message,
        "lake": mail.message.lake,
        "given": given[0] if given else None,
        "own": f"{site}{reverse('ramp:mine')}" if donor.person else "",
        "stop": stop,
    }
    return EmailMessage(
        f"{mail.message.lake}: a message about your fish",
        render_to_string("donors/message_mail.txt", words),
        settings.DEFAULT_FROM_EMAIL,
        [mail.address.email],
        # Mail programs offer a button of their own by these. Source: RFC 8058, section 3.1.
        headers={
            "List-Unsubscribe": f"<{stop}>",
            "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
        },
    )
