"""A password is lost: a link by mail once, and nobody learns who is set up here."""

import re

import pytest
from django.test import Client

from samples.models import SecurityEvent
from tests.shown import error_codes

PAGE = "/password/"
NEW = "three heron lantern"


@pytest.fixture
def mail_server(settings):
    settings.EMAIL_HOST = "mail.example.org"
    settings.DEFAULT_FROM_EMAIL = "earstone@example.org"


@pytest.fixture
def aubrey(biologist):
    biologist.username, biologist.email = "n-aubrey", "n.aubrey@example.org"
    biologist.set_password("a gate on the dam")
    biologist.save()
    return biologist


def ask(username="n-aubrey"):
    return Client().post(PAGE, {"username": username})


def test_the_mailed_link_lets_its_person_choose_a_password_once(mail_server, aubrey, mailoutbox):
    ask()

    [mail] = mailoutbox
    [path] = re.findall(r"https?://[^/]+(/password/\S+)", mail.body)
    chosen = Client().post(path, {"new_password": NEW, "again": NEW})
    assert mail.to == ["n.aubrey@example.org"]
    assert chosen.status_code == 302
    aubrey.refresh_from_db()
    assert aubrey.check_password(NEW)
    assert Client().get(path).status_code == 410


@pytest.mark.parametrize("unknown", ["nobody", "r-ostrow"])
def test_the_answer_is_the_same_for_a_name_that_gets_no_mail(
    mail_server, aubrey, guide, mailoutbox, unknown
):
    known, other = ask(), ask(unknown)

    assert known.content == other.content
    assert len(mailoutbox) == 1


def test_nobody_is_flooded_with_mails(mail_server, aubrey, mailoutbox):
    for _ in range(5):
        ask()

    assert len(mailoutbox) == 3


def test_asking_for_many_names_locks_the_address(mail_server, aubrey, mailoutbox):
    statuses = [ask(f"name-{n}").status_code for n in range(61)]

    assert statuses[59:] == [200, 429]
    assert ask().status_code == 429
    assert mailoutbox == []


def test_a_mail_server_that_is_away_is_no_error_page(
    mail_server, aubrey, monkeypatch, caplog, mailoutbox
):
    def away(*_, **__):
        raise ConnectionRefusedError("no")

    monkeypatch.setattr("samples.accounts.views.lost_password.send_mail", away)

    assert ask().status_code == 200
    assert [one.levelname for one in caplog.records] == ["ERROR"]
    assert not SecurityEvent.objects.filter(kind="password_link_made").exists()


def test_a_name_left_out_is_asked_for(mail_server, db):
    answer = ask("")

    assert answer.status_code == 422
    assert error_codes(answer) == {"username": ["required"]}


def test_without_a_mail_server_the_page_says_who_makes_a_link(db, mailoutbox):
    page = Client().get(PAGE)

    assert page.context["mails"] is False
    assert 'name="username"' not in page.content.decode()
