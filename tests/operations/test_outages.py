"""What a person, a phone and the log get when the database is away."""

import logging

import pytest
from django.db import OperationalError, ProgrammingError, connection
from django.test import Client

from fisheries.logs import PlainFormatter
from samples.accounts.links import make_phone
from tests.people import NOW
from tests.ramp import entries
from tests.shown import templates_of

pytestmark = pytest.mark.django_db


class NoSuchColumn(Exception):
    sqlstate = "42703"


def away(*args, **kwargs):
    raise OperationalError("connection to server failed: Connection refused")


def other_tables(*args, **kwargs):
    raise ProgrammingError('column "x" does not exist') from NoSuchColumn()


@pytest.fixture
def patient():
    """Return a browser that gets the site's own answer where the test client would raise."""
    return Client(raise_request_exception=False)


@pytest.fixture
def lines(caplog):
    caplog.set_level(logging.WARNING)
    return lambda: [PlainFormatter().format(one) for one in caplog.records]


@pytest.mark.parametrize("trouble", [away, other_tables])
def test_a_page_without_a_database_is_503_and_says_what_guides_should_know(
    patient, guide, trouble, lines
):
    patient.force_login(guide)
    with connection.execute_wrapper(trouble):
        answer = patient.get("/ramp/", follow=True)

    assert answer.status_code == 503
    assert answer["Retry-After"] == "30"
    text = answer.content.decode()
    assert "503.html" in templates_of(answer)
    assert answer["X-Request-ID"] in text
    assert len(lines()) == 1


def test_the_session_survives(patient, guide):
    patient.force_login(guide)
    with connection.execute_wrapper(away):
        answer = patient.get("/ramp/")

    assert "sessionid" not in answer.cookies
    assert patient.get("/ramp/", follow=True).status_code == 200
    assert "/sign-in/" not in patient.get("/ramp/", follow=True).request["PATH_INFO"]


def test_a_phone_gets_json_and_keeps_its_fish(guide, party, vials, lines):
    token = make_phone(guide, now=NOW).token
    phone = Client(headers={"authorization": f"Token {token}"}, raise_request_exception=False)
    batch = {"entries": [entries.fish(party.party_id, vials[0].number)]}
    with connection.execute_wrapper(away):
        answer = phone.post("/api/v1/outbox/", batch, content_type="application/json")

    assert (answer.status_code, answer["Retry-After"]) == (503, "30")
    assert answer["Content-Type"] == "application/json"
    assert len(lines()) == 1
    again = phone.post("/api/v1/outbox/", batch, content_type="application/json").json()
    assert again["results"][0]["outcome"] == "logged"


def test_a_failure_of_the_program_is_500_with_its_number(patient, guide, monkeypatch, lines):
    def stumble(*args):
        raise ZeroDivisionError

    monkeypatch.setattr("samples.ramp.queries.arms_of", stumble)
    patient.force_login(guide)

    answer = patient.get("/ramp/party/open/")

    assert answer.status_code == 500
    assert answer["X-Request-ID"] in answer.content.decode()
    assert len(lines()) == 1


def test_a_form_that_is_too_large_is_told_in_words(patient, biologist, lake, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    patient.force_login(biologist)

    answer = patient.post(f"/lakes/{lake.slug}/held/paste/", {"text": "x" * 200})

    assert answer.status_code == 413
    assert "413.html" in templates_of(answer)
