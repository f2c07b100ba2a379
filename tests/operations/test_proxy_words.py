"""A proxy that passes things on wrongly: what the page says, and what the log says, once."""

import logging

import pytest

from tests.shown import templates_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def behind_proxy(settings, caplog):
    settings.SECURE_SSL_REDIRECT = True
    settings.PROXY_COUNT = 1
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    caplog.set_level(logging.WARNING)
    return caplog


def test_a_wrong_host_is_told_once_with_what_to_set(client, behind_proxy):
    answers = [client.get("/sign-in/", headers={"host": "10.0.0.7:8000"}) for _ in range(3)]

    assert {answer.status_code for answer in answers} == {400}
    assert "400.html" in templates_of(answers[0])
    [words] = behind_proxy.messages
    assert "EARSTONE_HOSTS" in words
    assert "'10.0.0.7:8000'" in words


def test_a_missing_scheme_is_refused_and_never_redirected_for_ever(client, behind_proxy):
    answers = [client.get("/sign-in/") for _ in range(3)]

    assert {answer.status_code for answer in answers} == {400}
    [words] = behind_proxy.messages
    assert "X-Forwarded-Proto" in words


def test_a_plain_request_that_the_proxy_names_goes_to_https(client, behind_proxy):
    answer = client.get("/sign-in/", headers={"x-forwarded-proto": "http"})

    assert (answer.status_code, answer["Location"]) == (301, "https://testserver/sign-in/")
    assert len(behind_proxy.messages) == 1


def test_a_request_passed_on_well_opens_the_page(client, behind_proxy):
    answer = client.get("/sign-in/", headers={"x-forwarded-proto": "https"})

    assert answer.status_code == 200
    assert behind_proxy.messages == []


def test_guessed_hosts_do_not_fill_the_log(client, behind_proxy):
    for number in range(40):
        client.get("/", headers={"host": f"guess-{number}.example"})

    assert len(behind_proxy.messages) == 20
