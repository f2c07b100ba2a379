"""Mail to donors: only where it is switched on and asked for, each once, and failures are said."""

from datetime import timedelta
from smtplib import SMTPException

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from samples.donors import computed, queries, services
from samples.models import Donor, DonorAddress, DonorMail, DonorMessage
from tests.people import NOW
from tests.shown import error_codes, message_tags

State = DonorMail.State
SITE = "https://earstone.example"
TEXT = "Thank you for your fish"


@pytest.fixture
def server(settings):
    settings.EMAIL_HOST = "mail.example.org"
    settings.DEFAULT_FROM_EMAIL = "lake@example.org"


@pytest.fixture
def lake(lake):
    lake.mails_donors = True
    lake.save()
    return lake


@pytest.fixture
def addressed(server, lake, guide, second_guide):
    """Return the addresses of two donors who asked for mail."""
    return [
        services.note_address(
            Donor.objects.get(person=person), email=f"{n}@example.org", actor=person, now=NOW
        )
        for n, person in enumerate([guide, second_guide])
    ]


@pytest.fixture
def desk(client, biologist):
    client.force_login(biologist)
    return client


def post(lake, biologist, text=TEXT):
    return services.post_message(lake, text=text, by_mail=True, actor=biologist, now=NOW)


def send(message):
    return services.send_queued(
        message, lambda one: computed.mail_of(one, site=SITE), clock=lambda: NOW
    )


def states(message):
    return sorted(message.mails.values_list("state", flat=True))


def test_a_message_goes_to_each_address_once_by_the_page_and_its_job(desk, lake, addressed):
    address = reverse("donors:messages", args=[lake.slug])
    for _ in range(2):
        desk.post(address, {"text": TEXT, "by_mail": "on"})
    desk.post(reverse("donors:mail", args=[lake.slug, DonorMessage.objects.get().pk]))

    assert sorted(to for one in mail.outbox for to in one.to) == ["0@example.org", "1@example.org"]
    assert states(DonorMessage.objects.get()) == [State.SENT, State.SENT]


def test_no_mail_names_another_donor_and_each_stops_its_own(
    client, lake, addressed, biologist, guide, second_guide
):
    send(post(lake, biologist))
    first = next(one for one in mail.outbox if one.to == ["0@example.org"])
    stop = first.extra_headers["List-Unsubscribe"].strip("<>").removeprefix(SITE)

    assert str(second_guide) not in first.body
    assert stop in first.body
    assert client.get(stop).context["is_stopped"] is False
    # As a mail program does it: without a session, and without a token against forgery.
    assert client.post(stop, {"List-Unsubscribe": "One-Click"}).status_code == 200
    assert list(queries.addresses_to_mail(lake)) == [addressed[1]]
    assert states(post(lake, biologist, "Another")) == [State.QUEUED]


def test_a_link_that_is_not_ours_stops_nobody(client, lake, addressed):
    address = reverse("donors:stop_mail", args=["made-up"])
    assert client.post(address).context["is_stopped"] is True
    assert queries.addresses_to_mail(lake).count() == 2


def test_nothing_is_queued_where_the_lake_mails_nobody(lake, addressed, biologist):
    lake.mails_donors = False
    lake.save()
    assert states(post(lake, biologist)) == []


@pytest.mark.parametrize("what", ["withdrawn", "stopped", "switched off"])
def test_what_is_not_wanted_any_more_stays_unsent(lake, addressed, biologist, what):
    message = post(lake, biologist)
    if what == "withdrawn":
        services.withdraw_message(message, actor=biologist, now=NOW)
    elif what == "stopped":
        DonorAddress.objects.update(stopped_at=NOW)
    else:
        lake.mails_donors = False
        lake.save()

    assert send(message) == 0
    assert mail.outbox == []


@pytest.mark.parametrize("problem", [SMTPException("no"), ValueError("no such head")])
def test_a_failure_is_said_and_only_that_one_is_sent_again(
    desk, lake, addressed, biologist, monkeypatch, problem
):
    message = post(lake, biologist)
    made = computed.mail_of

    def refused_once(one, *, site):
        found = made(one, site=site)
        if one.address.email.startswith("0"):
            monkeypatch.setattr(found, "send", refuse)
        return found

    def refuse():
        raise problem

    services.send_queued(message, lambda one: refused_once(one, site=SITE), clock=lambda: NOW)

    assert states(message) == [State.FAILED, State.SENT]
    [shown] = queries.messages_of(lake, now=NOW)
    assert (shown.to_send, len(shown.problems)) == (1, 1)
    desk.post(reverse("donors:mail", args=[lake.slug, message.pk]))
    assert [one.to for one in mail.outbox] == [["1@example.org"], ["0@example.org"]]


def test_one_whose_sender_died_is_not_sent_again(lake, addressed, biologist):
    message = post(lake, biologist)
    message.mails.update(state=State.SENDING, tried_at=NOW)

    services.queue_mails(message, now=NOW)

    assert send(message) == 0
    assert states(message) == [State.SENDING] * 2


def test_one_whose_sender_died_is_seen_and_sent_again_by_choice(desk, lake, addressed, biologist):
    message = post(lake, biologist)
    lost, just_now = message.mails.order_by("pk")
    message.mails.update(state=State.SENDING, tried_at=timezone.now())
    message.mails.filter(pk=lost.pk).update(tried_at=NOW - timedelta(days=400))
    address = reverse("donors:messages", args=[lake.slug])
    [shown] = desk.get(address).context["sent"]
    assert (shown.unanswered, shown.to_send, shown.new) == (1, 0, 0)

    desk.post(
        reverse("donors:mail", args=[lake.slug, message.pk]), {"unanswered": "yes"}, follow=True
    )

    assert [one.to for one in mail.outbox] == [[lost.address.email]]
    assert set(message.mails.values_list("pk", "state")) == {
        (lost.pk, State.SENT),
        # Its sender may be at it still.
        (just_now.pk, State.SENDING),
    }


def test_a_mail_of_a_donor_who_stopped_them_waits_for_nothing(desk, lake, addressed, biologist):
    message = post(lake, biologist)
    services.stop_address(addressed[0], now=NOW)

    [shown] = queries.messages_of(lake, now=NOW)
    assert (shown.to_send, [count for _, count in shown.mails]) == (1, [1, 1])
    desk.post(reverse("donors:mail", args=[lake.slug, message.pk]))
    assert [one.to for one in mail.outbox] == [["1@example.org"]]


def test_a_guide_asks_for_mail_and_deletes_the_address(client, lake, guide, server):
    client.force_login(guide)
    address = reverse("donors:own_mail", args=[lake.slug])

    refused = client.post(address, {"email": "me at home"})
    assert error_codes(refused) == {"email": ["invalid"], "agreed": ["required"]}
    client.post(address, {"email": "me@example.org", "agreed": "on"})
    assert DonorAddress.objects.get().email == "me@example.org"
    assert client.get(address).context["form"]["agreed"].value() is True
    DonorAddress.objects.update(stopped_at=NOW)
    assert client.get(address).context["form"]["agreed"].value() is False
    client.post(address, {"remove": "yes"})
    assert not DonorAddress.objects.exists()


def test_a_message_names_nobody(desk, lake, guide):
    answer = desk.post(
        reverse("donors:messages", args=[lake.slug]), {"text": "Well done R. Ostrow"}
    )
    assert error_codes(answer) == {"text": ["names_a_person"]}
    assert not DonorMessage.objects.exists()


def test_a_withdrawn_message_is_not_edited(desk, lake, biologist):
    message = post(lake, biologist)
    services.withdraw_message(message, actor=biologist, now=NOW)
    answer = desk.post(
        reverse("donors:message", args=[lake.slug, message.pk]), {"text": "New"}, follow=True
    )
    assert "withdrawn error" in message_tags(answer)
    message.refresh_from_db()
    assert message.text == TEXT
