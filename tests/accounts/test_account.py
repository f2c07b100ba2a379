"""A person's own account: password, sessions and phones, and what ends with them."""

import re
from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone

from samples.accounts.links import make_link, make_phone
from samples.accounts.password_validation import NoWordsOfTheSite
from samples.models import OpenSession, Phone, SecurityEvent
from tests.people import NOW
from tests.shown import error_codes, templates_of

PASSWORD = "pale rings on slate"
NEW = "seven cold herons"
CHROME = "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 Chrome/140.0 Mobile Safari/537.36"


@pytest.fixture
def staff(clerk):
    clerk.set_password(PASSWORD)
    clerk.save()
    return clerk


def signed_in(person, password=PASSWORD):
    browser = Client(headers={"user-agent": CHROME})
    answer = browser.post("/sign-in/", {"username": person.username, "password": password})
    assert answer.status_code == 302
    return browser


@pytest.fixture
def desk(staff):
    return signed_in(staff)


def is_signed_in(browser):
    return browser.get("/account/").status_code == 200


def sends(token):
    phone = Client(headers={"authorization": f"Token {token}"})
    return phone.get("/api/v1/pick-lists/").status_code == 200


class TestPassword:
    def change(self, desk, **words):
        typed = {"password": PASSWORD, "new_password": NEW, "again": NEW}
        return desk.post("/account/password/", typed | words)

    def test_changing_it_ends_other_sessions_and_phones_and_keeps_this_one(self, desk, staff):
        other = signed_in(staff)
        phone = make_phone(staff, now=NOW).token
        assert sends(phone)

        answer = self.change(desk)

        assert answer["Location"] == "/account/"
        assert (is_signed_in(desk), is_signed_in(other), sends(phone)) == (True, False, False)
        assert is_signed_in(signed_in(staff, NEW))

    @pytest.mark.parametrize(
        ("words", "errors"),
        [
            ({"password": "wrong"}, {"password": ["wrong"]}),
            ({"password": ""}, {"password": ["required"]}),
            (
                {"new_password": "short", "again": "short"},
                {"new_password": ["password_too_short"]},
            ),
            ({"again": "seven cold heron"}, {"again": ["differ"]}),
            (
                {"new_password": "my earstone door", "again": "my earstone door"},
                {"new_password": ["word_of_the_site"]},
            ),
        ],
    )
    def test_what_is_wrong_is_told_beside_its_field(self, desk, staff, words, errors):
        answer = self.change(desk, **words)

        assert answer.status_code == 422
        assert error_codes(answer) == errors
        staff.refresh_from_db()
        assert staff.check_password(PASSWORD)

    def test_no_password_comes_back_on_the_page(self, desk):
        page = self.change(desk, again="something else").content.decode()

        assert PASSWORD not in page
        assert NEW not in page

    def test_a_wrong_current_password_counts_as_a_try(self, desk):
        self.change(desk, password="wrong")

        assert SecurityEvent.objects.filter(kind="wrong_password").count() == 1

    def test_a_guide_has_none_to_change(self, client, guide):
        guide.set_unusable_password()
        guide.save()
        client.force_login(guide)

        assert client.get("/account/password/")["Location"] == "/account/"
        assert "Change password" not in client.get("/account/").content.decode()


@pytest.mark.parametrize(
    "password",
    ["earstone2026", "OTOLITH reader", "0t0l1th-reader", "crappie-crappie", "blue Orrinbeck 7"],
)
def test_words_of_the_site_and_of_the_lake_are_refused(staff, password):
    with pytest.raises(ValidationError) as problem:
        NoWordsOfTheSite().validate(password, staff)

    assert problem.value.code == "word_of_the_site"


def test_other_words_are_taken(staff):
    NoWordsOfTheSite().validate(PASSWORD, staff)

    assert staff.check_password(PASSWORD)


class TestPasswordLink:
    def made(self, admin_client, person):
        page = f"/office/admin/samples/user/{person.pk}/password/"
        shown = admin_client.post(page).content.decode()
        [address] = re.findall(r"http://testserver(/password/[^<\s]+)", shown)
        return address

    def test_it_sets_a_password_once_and_signs_in(self, admin_client, desk, staff):
        address = self.made(admin_client, staff)
        browser = Client()

        shown = browser.get(address)
        done = browser.post(address, {"new_password": NEW, "again": NEW})
        again = Client().get(address)

        assert (shown.status_code, done.status_code, again.status_code) == (200, 302, 410)
        assert is_signed_in(browser)
        assert not is_signed_in(desk)
        assert "accounts/password_link_refused.html" in templates_of(again)

    def test_looking_at_it_uses_nothing_up(self, admin_client, staff):
        address = self.made(admin_client, staff)

        assert [Client().get(address).status_code for _ in range(3)] == [200] * 3

    def test_signing_in_with_the_old_password_ends_it(self, admin_client, staff):
        address = self.made(admin_client, staff)
        signed_in(staff)

        assert Client().get(address).status_code == 410

    @pytest.mark.parametrize(
        "address", ["/password/MQ/x/", "/password/!!/x/", "/password/OTk5/x-y/"]
    )
    def test_a_made_up_one_is_refused(self, db, client, address):
        assert client.get(address).status_code == 410
        assert client.post(address, {"new_password": NEW, "again": NEW}).status_code == 410

    def test_only_the_administrator_makes_one(self, client, staff, biologist):
        client.force_login(biologist)

        answer = client.post(f"/office/admin/samples/user/{staff.pk}/password/")

        assert answer.status_code == 403
        assert not SecurityEvent.objects.filter(kind="password_link_made").exists()

    def test_the_log_names_who_made_it(self, admin_client, admin_user, staff):
        self.made(admin_client, staff)

        event = SecurityEvent.objects.get(kind="password_link_made")
        assert (event.person, event.done_by) == (staff, admin_user)


class TestSessions:
    def test_each_is_listed_with_its_browser_and_ends_by_itself(self, desk, staff):
        other = signed_in(staff)
        row = OpenSession.objects.exclude(session_key=desk.session.session_key).get()

        page = desk.get("/account/").content.decode()
        desk.post(f"/account/sessions/{row.pk}/end/")

        assert page.count("Chrome on Android") == 3  # in two rows, and once for who cannot see
        assert (is_signed_in(desk), is_signed_in(other)) == (True, False)

    def test_signing_out_takes_it_off_the_list(self, desk):
        desk.post("/sign-out/")

        assert not OpenSession.objects.exists()

    def test_signing_out_everywhere_ends_sessions_and_phones(self, desk, staff):
        other = signed_in(staff)
        older = Client()
        older.force_login(staff)  # a session from before there was a list
        phone = make_phone(staff, now=NOW).token

        answer = desk.post("/account/sign-out-everywhere/", follow=True)

        assert "accounts/signed_out_everywhere.html" in templates_of(answer)
        assert [is_signed_in(one) for one in (desk, other, older)] == [False] * 3
        assert not sends(phone)
        assert is_signed_in(signed_in(staff))

    def test_a_guide_comes_back_by_the_link(self, guide, biologist):
        guide.set_unusable_password()
        guide.save()
        now = timezone.now()
        link = make_link(guide, made_by=biologist, good_until=now.date(), now=now)
        phone = Client()
        phone.post(f"/me/{link.token}/")
        phone.post("/account/sign-out-everywhere/")
        assert not is_signed_in(phone)

        phone.post(f"/me/{link.token}/")

        assert is_signed_in(phone)

    def test_ones_own_phone_ends_by_itself(self, desk, staff):
        made = [make_phone(staff, now=NOW), make_phone(staff, now=NOW)]

        desk.post(f"/account/phones/{made[0].phone.pk}/end/")

        assert [sends(one.token) for one in made] == [False, True]

    def test_somebody_elses_session_and_phone_are_not_there(self, desk, guide, staff):
        phone = make_phone(guide, now=NOW).phone
        other = Client()
        other.force_login(guide)
        row = OpenSession.objects.create(
            person=guide, session_key=other.session.session_key or "", began_at=NOW
        )

        assert desk.post(f"/account/phones/{phone.pk}/end/").status_code == 404
        assert desk.post(f"/account/sessions/{row.pk}/end/").status_code == 404
        assert Phone.objects.get(pk=phone.pk).revoked_at is None


def test_a_first_password_never_comes_back_on_the_page(client, biologist):
    client.force_login(biologist)
    typed = {"display_name": "", "role": "office", "username": "carrow", "password": PASSWORD}

    answer = client.post("/lakes/lake-orrinbeck/people/", typed)

    assert answer.status_code == 422
    assert PASSWORD not in answer.content.decode()


def test_sessions_from_before_stay_good_until_somebody_signs_out_everywhere(client, staff):
    """Until then a session is matched as Django does it: nobody is signed out by an upgrade."""
    client.force_login(staff)

    assert len(client.session["_auth_user_hash"]) == 64
    assert is_signed_in(client)


def test_times_are_the_lakes_for_the_ear_too(desk, staff):
    # Half past three at night in Greenwich is the evening before at the lake.
    night = datetime(2026, 5, 7, 3, 30, tzinfo=UTC)
    other = signed_in(staff)
    assert is_signed_in(other)
    OpenSession.objects.update(began_at=night)
    phone = make_phone(staff, now=night).phone
    Phone.objects.filter(pk=phone.pk).update(last_heard_at=night)

    page = desk.get("/account/").content.decode()

    assert "May 6, 2026, 10:30 PM" in page
    assert "May 7" not in page
