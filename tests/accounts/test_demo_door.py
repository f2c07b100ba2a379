"""The demo's door: a button a role on the demo's own machine, and nowhere else."""

import subprocess
import sys
from typing import Any

import pytest
from django.test import Client

from fisheries.demo import is_local_demo
from samples.management.commands import demo
from samples.models import SecurityEvent
from tests.test_repository import ROOT

ADDRESS = "/sign-in/as/"
BUTTON = "Sign in as "
OF_THE_DEMO: dict[str, Any] = {
    "mark": "/somewhere/demo/demo.sqlite3",
    "database": "/somewhere/demo/demo.sqlite3",
    "public_address": "http://localhost:8000",
    "own_key": False,
    "proxies": 0,
}


@pytest.fixture
def in_demo(settings):
    settings.DEMO = True


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["guide", "clerk", "office", "reader", "biologist"])
def test_one_button_signs_a_role_in(client, request, in_demo, role):
    person = request.getfixturevalue(role)

    answer = client.post(f"{ADDRESS}?next=/account/", {"role": role})

    assert (answer.status_code, answer["Location"]) == (302, "/account/")
    assert client.session["_auth_user_id"] == str(person.pk)
    assert client.session.get_expiry_age() <= 12 * 60 * 60
    assert SecurityEvent.objects.get(kind="signed_in").person == person


def test_the_page_offers_each_role_that_somebody_has(client, in_demo, biologist, office):
    office.is_active = False
    office.save()

    page = client.get("/sign-in/").content.decode()

    assert f"{BUTTON}biologist" in page
    assert f"{BUTTON}office" not in page


@pytest.mark.parametrize("role", ["", "administrator", "biologist"])
def test_a_role_that_nobody_has_opens_nothing(client, in_demo, office, role):
    assert client.post(ADDRESS, {"role": role}).status_code == 404
    assert "_auth_user_id" not in client.session


def test_no_other_installation_has_the_door(client, biologist):
    assert client.post(ADDRESS, {"role": "biologist"}).status_code == 404
    assert "_auth_user_id" not in client.session
    assert BUTTON not in client.get("/sign-in/").content.decode()


@pytest.mark.parametrize("address", ["10.0.0.7", "192.168.1.20", "2001:db8::7", ""])
def test_nobody_signs_in_from_another_machine(client, in_demo, biologist, address):
    answer = client.post(ADDRESS, {"role": "biologist"}, REMOTE_ADDR=address)

    assert answer.status_code == 404
    assert BUTTON not in client.get("/sign-in/", REMOTE_ADDR=address).content.decode()


def test_another_site_cannot_press_the_button(in_demo, biologist):
    client = Client(enforce_csrf_checks=True)

    assert client.post(ADDRESS, {"role": "biologist"}).status_code == 403


def test_it_leads_to_no_other_site(client, in_demo, biologist):
    answer = client.post(f"{ADDRESS}?next=https://elsewhere.example/", {"role": "biologist"})

    assert answer["Location"] == "/"


class TestWhatADemoIs:
    def test_the_demo_on_this_machine(self):
        assert is_local_demo(**OF_THE_DEMO)

    @pytest.mark.parametrize(
        "other",
        [
            {"mark": ""},
            {"mark": "", "database": ""},
            {"database": "/somewhere/earstone.sqlite3"},
            {"public_address": ""},
            {"public_address": "https://earstone.example"},
            {"public_address": "http://192.168.1.20:8000"},
            {"public_address": "http://localhost.example"},
            {"own_key": True},
            {"proxies": 1},
        ],
    )
    def test_anything_else_is_none(self, other):
        assert not is_local_demo(**OF_THE_DEMO | other)

    @pytest.mark.parametrize(
        ("host", "more", "expected"),
        [
            ("localhost", {}, "True"),
            ("192.168.1.20", {}, "False"),
            ("localhost", {"EARSTONE_SECRET_KEY": "k" * 60}, "False"),
            ("localhost", {"DATABASE_URL": "sqlite:///another.sqlite3"}, "False"),
        ],
    )
    def test_settings_say_it_as_the_command_starts_them(self, host, more, expected):
        environment = demo.environment_for(host, 8000) | more
        asked = "from fisheries import settings; print(settings.DEMO)"

        said = subprocess.run(
            [sys.executable, "-c", asked],
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        )

        assert said.stdout.strip() == expected


def test_photos_of_the_demo_lie_beside_its_database_and_go_with_it(monkeypatch):
    monkeypatch.setenv("EARSTONE_MEDIA", "/srv/photos-of-a-real-lake")
    monkeypatch.setenv("EARSTONE_S3_BUCKET", "photos-of-a-real-lake")

    environment = demo.environment_for("localhost", 8000)
    assert environment["EARSTONE_MEDIA"] == str(demo.FOLDER / "media")
    assert "EARSTONE_S3_BUCKET" not in environment
