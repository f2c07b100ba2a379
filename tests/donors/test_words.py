"""What donors, and the biologist about them, read word for word."""

from datetime import timedelta

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from samples.models import Donor, DonorMail
from tests.asks.test_words import words_on
from tests.donors.test_mailing import SITE, addressed, desk, lake, post, send, server

__all__ = ["addressed", "desk", "lake", "server"]


def test_the_mail_of_a_message_and_the_page_that_stops_it(client, lake, addressed, biologist):
    lake.office_phone = "605-555-0142"
    lake.save()
    send(post(lake, biologist, "Thank you for 212 fish."))

    first = mail.outbox[0]
    assert first.subject == "Lake Orrinbeck: a message about your fish"
    stop = first.extra_headers["List-Unsubscribe"].strip("<>")
    assert first.body.rstrip().split("\n") == [
        "Thank you for 212 fish.",
        "",
        f"Your fish and their ages: {SITE}/ramp/mine/",
        "",
        "Lake Orrinbeck, office 605-555-0142",
        "",
        f"Stop these emails: {stop}",
    ]

    page = stop.removeprefix(SITE)
    assert "Stop emails about your fish?" in words_on(client.get(page))
    assert "Messages from Lake Orrinbeck end. Your fish stay on record." in words_on(
        client.get(page)
    )
    assert "No more messages go to this address." in words_on(client.post(page))


def test_what_the_biologist_reads_of_mails_that_failed_and_that_nobody_confirmed(
    desk, lake, addressed, biologist
):
    message = post(lake, biologist)
    failed, lost = message.mails.order_by("pk")
    long_ago = timezone.now() - timedelta(hours=1)
    states = DonorMail.State
    message.mails.filter(pk=failed.pk).update(
        state=states.FAILED, tried_at=long_ago, problem="The mail server refused the address."
    )
    message.mails.filter(pk=lost.pk).update(state=states.SENDING, tried_at=long_ago)

    read = words_on(desk.get(reverse("donors:messages", args=[lake.slug])))

    assert "Email: handed to the mail server, no answer 1; failed 1." in read
    assert "The mail server refused the address." in read
    assert "The mail server did not confirm 1 email. It may have arrived" in read
    assert "Send 1 again" in read
    assert "Send 1 not sent yet" in read


@pytest.mark.django_db
def test_what_a_guide_reads_who_gives_an_address(client, lake, guide, server):
    client.force_login(guide)
    address = reverse("donors:own_mail", args=[lake.slug])

    refused = words_on(client.post(address, {"email": "me at home"}))
    assert "Enter an email address, such as name@example.org." in refused
    assert "Check this box, or leave the page without an address." in refused
    saved = client.post(address, {"email": "me@example.org", "agreed": "on"}, follow=True)
    assert "Saved. Messages from Lake Orrinbeck will be emailed to you." in words_on(saved)


def test_what_is_said_before_and_after_a_donor_is_forgotten(desk, lake, guide, biologist):
    donor = Donor.objects.get(person=guide)
    address = reverse("donors:forget", args=[lake.slug, donor.pk])

    asked = words_on(desk.get(address))
    assert "Forget R. Ostrow?" in asked
    assert "The name, here and in the history of every record" in asked
    assert "Check this box to forget the donor, or cancel." in words_on(desk.post(address))
    done = words_on(desk.post(address, {"sure": "on"}, follow=True))
    assert f"Donor {donor.pk} is forgotten. The fish stay." in done
    assert "R. Ostrow" not in done
