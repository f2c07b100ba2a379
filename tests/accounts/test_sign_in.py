"""Staff sign in by name and password; a wrong one is told of, and locked in time."""

import pytest
from django.conf import global_settings as defaults

from fisheries import settings as site
from tests.shown import error_codes, templates_of

PASSWORD = "pale rings on slate"


@pytest.fixture
def staff(office):
    office.set_password(PASSWORD)
    office.save()
    return office


def sign_in(client, name, password, address="10.0.0.7"):
    return client.post("/sign-in/", {"username": name, "password": password}, REMOTE_ADDR=address)


def test_signs_in_with_a_password_kept_as_the_site_keeps_it(client, office, settings):
    settings.PASSWORD_HASHERS = getattr(site, "PASSWORD_HASHERS", defaults.PASSWORD_HASHERS)
    office.set_password(PASSWORD)
    office.save()

    answer = sign_in(client, office.username, PASSWORD)

    assert office.password.startswith("pbkdf2_sha256$")
    assert answer.status_code == 302


def test_signs_in_and_leads_to_the_days_work(client, staff):
    answer = sign_in(client, staff.username, PASSWORD)

    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert client.get("/")["Location"] == "/lakes/lake-orrinbeck/"


def test_goes_on_to_the_page_that_was_asked_for_and_to_no_other_site(client, staff):
    wanted = "/sign-in/?next=/lakes/lake-orrinbeck/labels/"
    inside = client.post(wanted, {"username": staff.username, "password": PASSWORD})
    outside = client.post(
        "/sign-in/?next=https://elsewhere.example/",
        {"username": staff.username, "password": PASSWORD},
    )

    assert inside["Location"] == "/lakes/lake-orrinbeck/labels/"
    assert outside["Location"] == "/"


def test_a_wrong_password_is_told_beside_the_field_and_the_name_is_kept(client, staff):
    answer = sign_in(client, staff.username, "wrong")

    page = answer.content.decode()
    assert answer.status_code == 422
    assert error_codes(answer) == {"__all__": ["invalid_login"]}
    assert f'value="{staff.username}"' in page


def test_a_name_longer_than_any_is_refused_beside_the_field(client, staff):
    answer = sign_in(client, staff.username * 99, "wrong")

    assert answer.status_code == 422
    assert error_codes(answer)["username"] == ["invalid_login"]


def test_too_many_wrong_ones_lock_that_name_from_that_place_only(client, staff, biologist):
    biologist.set_password(PASSWORD)
    biologist.save()
    for _ in range(8):
        sign_in(client, staff.username, "wrong")

    locked = sign_in(client, staff.username, PASSWORD)
    colleague = sign_in(client, biologist.username, PASSWORD)
    elsewhere = sign_in(client, staff.username, PASSWORD, address="10.0.0.8")

    assert locked.status_code == 429
    assert "accounts/locked.html" in templates_of(locked)
    assert colleague.status_code == elsewhere.status_code == 302


def test_signing_out_needs_a_post(client, staff):
    client.force_login(staff)

    assert client.get("/sign-out/").status_code == 405
    client.post("/sign-out/")
    assert "_auth_user_id" not in client.session
