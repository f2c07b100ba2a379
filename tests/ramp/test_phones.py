"""How a phone gets a token of its own: for a personal link, or from a session."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from samples.accounts.links import make_link, make_phone, note_heard, phone_of, revoke_link
from samples.models import Phone
from tests.people import NOW


@pytest.fixture
def link(guide, biologist):
    return make_link(guide, made_by=biologist, good_until=date(2026, 12, 31), now=NOW)


def ask(words, client=None):
    client = client or Client(enforce_csrf_checks=True)
    return client.post(reverse("phones"), words, content_type="application/json")


@pytest.mark.parametrize(
    "pasted",
    [
        "https://earstone.example/me/{token}/",
        "  /me/{token}/?from=mail ",
        "{token}",
        "Your link: https://old.example/me/{token}/. Keep it to yourself.",
    ],
)
def test_a_pasted_link_gives_a_token_that_sends(link, guide, pasted):
    answer = ask({"link": pasted.format(token=link.token), "name": "Android"})

    assert answer.status_code == 201
    words = answer.json()
    assert words["person"] == {"key": str(guide.pk), "name": "R. Ostrow"}
    assert words["lists"]["person"] == words["person"]
    phone = Client(headers={"authorization": f"Token {words['token']}"})
    assert phone.get(reverse("pick_lists")).json() == words["lists"]
    kept = Phone.objects.get()
    assert (kept.person, kept.link, kept.name) == (guide, link.link, "Android")


def test_a_link_taken_back_gives_none_and_says_what_to_do(link):
    revoke_link(link.link, now=NOW)

    answer = ask({"link": link.token})

    assert answer.status_code == 403
    assert not Phone.objects.exists()


def test_nobody_gets_none(db):
    answer = ask({})

    assert answer.status_code == 403
    assert not Phone.objects.exists()


def test_a_session_needs_a_request_of_our_own_page(clerk):
    client = Client(enforce_csrf_checks=True)
    client.force_login(clerk, backend="django.contrib.auth.backends.ModelBackend")

    assert ask({}, client).status_code == 403
    assert not Phone.objects.exists()


def test_a_session_that_began_by_a_link_ends_with_it(link, guide):
    client = Client()
    client.post(reverse("accounts:this_is_me", args=[link.token]))

    assert ask({}, client).status_code == 201
    revoke_link(link.link, now=NOW)

    assert Phone.objects.get().revoked_at is not None


class TestOnThePersonsPage:
    def test_a_phone_that_is_lost_is_taken_back_alone(self, client, link, guide, biologist):
        lost, kept = (ask({"link": link.token}).json()["token"] for _ in range(2))
        client.force_login(biologist)
        first = Phone.objects.order_by("pk")[0]
        client.post(f"/lakes/lake-orrinbeck/people/{guide.pk}/phones/{first.pk}/take-back/")

        assert lists_for(lost).status_code == 401
        assert lists_for(kept).status_code == 200
        page = client.get(f"/lakes/lake-orrinbeck/people/{guide.pk}/").content.decode()
        # The one taken back stays on the list, without a button.
        assert page.count("; revoked ") == 1
        assert page.count(f"/people/{guide.pk}/phones/") == 1

    def test_a_guide_who_has_become_more_signs_in_anew(self, link, guide, lake):
        token = ask({"link": link.token}).json()["token"]
        guide.memberships.create(lake=lake, role="office")

        assert lists_for(token).status_code == 401

    def test_whoever_has_become_more_keeps_a_phone_that_came_without_a_link(self, guide, lake):
        token = make_phone(guide, now=NOW).token
        guide.memberships.create(lake=lake, role="office")

        assert lists_for(token).status_code == 200

    def test_a_phone_made_while_its_link_was_taken_back_sends_nothing(self, link, guide):
        revoke_link(link.link, now=NOW)
        late = make_phone(guide, now=NOW, link=link.link)

        assert phone_of(late.token, today=date(2026, 5, 6)) is None


def test_a_phone_that_speaks_often_is_noted_every_ten_minutes(guide, django_assert_num_queries):
    phone = make_phone(guide, now=NOW).phone
    note_heard(phone, now=NOW)
    phone.refresh_from_db()

    with django_assert_num_queries(0):
        note_heard(phone, now=NOW + timedelta(minutes=9))
    note_heard(phone, now=NOW + timedelta(minutes=11))

    phone.refresh_from_db()
    assert phone.last_heard_at == NOW + timedelta(minutes=11)


def lists_for(token):
    return Client(headers={"authorization": f"Token {token}"}).get(reverse("pick_lists"))
