"""What people read where they sign in and where people are set up, word for word."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from samples.accounts import security_log
from samples.accounts.links import LinkRefused, make_link
from samples.accounts.password_validation import NoWordsOfTheSite
from samples.models import PersonalLink

PASSWORD = "pale rings on slate"
PEOPLE = "/lakes/lake-orrinbeck/people/"


def page_of(response):
    return response.content.decode()


@pytest.fixture
def staff(office):
    office.set_password(PASSWORD)
    office.save()
    return office


@pytest.fixture
def desk(client, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    return client


class TestSigningIn:
    def test_which_door_is_whose(self, client, db):
        page = " ".join(page_of(client.get("/sign-in/")).split())

        assert "<strong>Staff</strong>: sign in with your name and password." in page
        assert "<strong>Guides</strong>: open your personal link." in page

    def test_wrong_words_and_locks(self, staff):
        def sign_in(name, address):
            typed = {"username": name, "password": "wrong"}
            return page_of(Client().post("/sign-in/", typed, REMOTE_ADDR=address))

        wrong = [sign_in(staff.username, "10.0.0.8") for _ in range(9)]
        many = [sign_in(f"name-{n}", "10.0.0.9") for n in range(security_log.MOST_FAILURES + 1)]

        assert "Wrong name or password. Enter both again." in wrong[0]
        assert "locked for 15 minutes" in wrong[-1]
        assert "Too many wrong passwords came from your network." in many[-1]

    def test_a_lost_password(self, settings, db):
        without_server = page_of(Client().get("/password/"))
        settings.EMAIL_HOST = "mail.example.org"

        assert "Ask the administrator" in without_server
        assert "Enter your sign-in name, such as n-aubrey." in page_of(
            Client().post("/password/", {"username": ""})
        )

    def test_a_link(self, guide, biologist):
        later = timezone.now().date() + timedelta(days=100)
        token = make_link(guide, made_by=biologist, good_until=later, now=timezone.now()).token
        address = f"/me/{token}/"

        assert "R. Ostrow, is this you?" in page_of(Client().get(address))
        for change, sentence in (
            ({"good_until": date(2020, 1, 1)}, "This link was for an earlier season."),
            ({"revoked_at": timezone.now()}, "This link was revoked."),
            ({"token_sha256": "0" * 64}, "This link is not valid."),
        ):
            PersonalLink.objects.update(**change)
            page = page_of(Client().get(address))
            assert f"{sentence} Ask the biologist for a new one." in page


class TestAccount:
    @pytest.mark.parametrize(
        ("words", "sentence"),
        [
            ({"password": "wrong"}, "This is not your current password."),
            ({"password": ""}, "Enter your current password."),
            ({"new_password": "short", "again": "short"}, "at least 10 characters"),
            ({"again": "seven cold heron"}, "The two passwords differ."),
        ],
    )
    def test_a_password_that_cannot_be(self, client, staff, words, sentence):
        client.force_login(staff, backend="django.contrib.auth.backends.ModelBackend")
        new = {"new_password": "three heron lantern", "again": "three heron lantern"}

        answer = client.post("/account/password/", {"password": PASSWORD} | new | words)

        assert sentence in page_of(answer)

    def test_a_word_of_the_site(self, staff):
        with pytest.raises(Exception, match="Leave out “earstone”: people would guess it here"):
            NoWordsOfTheSite().validate("earstone2026", staff)

    def test_signed_out_everywhere(self, client, staff):
        client.force_login(staff, backend="django.contrib.auth.backends.ModelBackend")

        page = page_of(client.post("/account/sign-out-everywhere/", follow=True))

        assert "You are signed out everywhere" in page


class TestPeople:
    @pytest.mark.parametrize(
        ("words", "sentence"),
        [
            ({"username": ""}, "Enter a sign-in name, such as n-aubrey."),
            ({"password": ""}, "Enter a first password."),
            ({"password": "short"}, "at least 10 characters"),
            ({"display_name": ""}, "Enter a name, such as R. Ostrow."),
            ({"username": "n-aubrey"}, "This sign-in name is taken."),
        ],
        ids=str,
    )
    def test_a_new_person(self, desk, words, sentence):
        good = {"display_name": "B. Carrow", "role": "office", "username": "carrow"}

        page = page_of(desk.post(PEOPLE, good | {"password": PASSWORD} | words))

        assert sentence in page

    def test_links_are_for_guides(self, desk, guide, office, biologist):
        over = page_of(desk.post(f"{PEOPLE}{guide.pk}/", {"good_until": "2020-01-01"}))
        late = page_of(desk.post(f"{PEOPLE}{guide.pk}/", {"good_until": "9999-12-31"}))
        staff = page_of(desk.get(f"{PEOPLE}{office.pk}/"))

        with pytest.raises(LinkRefused, match=r"signs in with a password\. Links are for guides\."):
            make_link(office, made_by=biologist, good_until=date(2026, 9, 1), now=timezone.now())
        assert over.count("This date is past.") == 2
        assert "Links end 60 days after the season." in late
        assert "Links are for guides." in staff

    def test_the_last_biologist(self, desk, biologist):
        role = biologist.memberships.get()
        address = f"{PEOPLE}{biologist.pk}/roles/{role.pk}/take-away/"

        page = page_of(desk.post(address, follow=True))

        assert "A lake needs a biologist. Add another first." in page
