"""What browsers keep of a person: cookies under safe names, and no page."""

import os
import pathlib
import subprocess
import sys
from datetime import date

import pytest
from django.test import Client

from samples.accounts import middleware

ROOT = pathlib.Path(__file__).resolve().parents[2]
NAMES = "from django.conf import settings as s; print(s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME)"


@pytest.fixture
def over_tls(settings):
    settings.SESSION_COOKIE_NAME = "__Host-sessionid"
    settings.CSRF_COOKIE_NAME = "__Host-csrftoken"
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True


@pytest.mark.parametrize(
    ("plain", "names"),
    [("1", "sessionid csrftoken"), ("", "__Host-sessionid __Host-csrftoken")],
    ids=["plain HTTP", "TLS"],
)
def test_names_that_need_tls_are_used_over_tls_alone(plain, names):
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "fisheries.settings",
        "EARSTONE_SECRET_KEY": "of a test",
        "EARSTONE_PLAIN_HTTP": plain,
    }

    done = subprocess.run(
        [sys.executable, "-c", NAMES],
        env=environment, cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip

    assert done.stdout.strip() == names


def signed_in_before(person):
    """Make a browser that signed in while the cookie had its old name."""
    browser = Client()
    browser.force_login(person)
    [morsel] = [one for name, one in browser.cookies.items() if name.endswith("sessionid")]
    key = morsel.value
    browser.cookies.clear()
    browser.cookies["sessionid"] = key
    return browser


def test_who_signed_in_under_the_old_name_stays_so_under_the_new_one(over_tls, office):
    browser = signed_in_before(office)

    first = browser.get("/account/", secure=True)
    del browser.cookies["sessionid"]
    second = browser.get("/account/", secure=True)

    assert (first.status_code, second.status_code) == (200, 200)
    new = first.cookies["__Host-sessionid"]
    assert (new["secure"], new["path"], new["domain"]) == (True, "/", "")
    assert first.cookies["sessionid"]["max-age"] == 0


def test_the_old_name_is_read_for_one_season_only(over_tls, office, monkeypatch):
    monkeypatch.setattr(middleware, "OLD_NAMES_END_ON", date(2026, 1, 1))

    answer = signed_in_before(office).get("/account/", secure=True)

    assert answer.status_code == 302


def test_a_session_under_the_old_name_that_ended_makes_no_new_one(over_tls, db):
    browser = Client()
    browser.cookies["sessionid"] = "x" * 32

    answer = browser.get("/sign-in/", secure=True)

    assert "__Host-sessionid" not in answer.cookies


def test_a_new_name_wins_over_an_old_one(over_tls, office, reader):
    browser = signed_in_before(office)
    other = Client()
    other.force_login(reader)
    browser.cookies["__Host-sessionid"] = other.cookies["__Host-sessionid"].value

    assert "T. Vesk" in browser.get("/account/", secure=True).content.decode()


@pytest.mark.parametrize(
    "page", ["/account/", "/lakes/lake-orrinbeck/", "/lakes/lake-orrinbeck/people/", "/ramp/mine/"]
)
def test_no_page_of_a_person_is_stored(client, biologist, page):
    client.force_login(biologist)

    assert "no-store" in client.get(page)["Cache-Control"]


@pytest.mark.parametrize("page", ["/ramp/app/", "/earstone.webmanifest"])
def test_what_has_nothing_of_a_person_may_be_kept_by_the_phone(client, biologist, page):
    client.force_login(biologist)

    assert client.get(page)["Cache-Control"] == "no-cache"
