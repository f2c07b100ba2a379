"""`manage.py doctor`, and the administrator's page of it: what is set up wrongly, in words."""

import smtplib
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command
from django.test import RequestFactory

from fisheries import doctor, probes
from fisheries.doctor import State
from fisheries.files import BUCKET, FilesUnreachable
from samples.models import User
from tests.factories import make_fish

pytestmark = pytest.mark.django_db
PAGE = "/office/admin/condition/"


def states(**how):
    return {one.about: one.state for one in doctor.examine(**how)}


def passed_on(**headers):
    return RequestFactory().get("/", headers=headers)


@pytest.fixture
def administrator():
    return User.objects.create_superuser("root", password="a long password", display_name="Root")


class TestAddress:
    def test_labels_that_lead_to_a_host_which_the_site_does_not_answer_to(self, settings):
        settings.PUBLIC_ADDRESS = "https://samples.example.org"
        settings.ALLOWED_HOSTS = ["other.example.org"]
        assert states()["Address on labels"] is State.WRONG

        settings.ALLOWED_HOSTS = [".example.org"]
        assert states()["Address on labels"] is State.FINE

    def test_an_address_with_a_path(self, settings):
        settings.PUBLIC_ADDRESS = "https://samples.example.org/stones"
        assert states()["Address on labels"] is State.LOOK


class TestProxy:
    @pytest.mark.parametrize(
        ("count", "passed", "state"),
        [
            (0, {}, State.FINE),
            (1, {"x-forwarded-for": "192.0.2.7"}, State.FINE),
            (2, {"x-forwarded-for": "192.0.2.7"}, State.WRONG),
            (1, {}, State.WRONG),
            (0, {"x-forwarded-for": "192.0.2.7, 192.0.2.8"}, State.WRONG),
        ],
    )
    def test_as_many_as_are_set(self, settings, count, passed, state):
        settings.PROXY_COUNT = count
        assert states(request=passed_on(**passed))["Proxy"] is state

    def test_another_host_than_labels_lead_to(self, settings):
        settings.PUBLIC_ADDRESS = "https://samples.example.org"
        assert states(request=passed_on(host="testserver"))["Host"] is State.LOOK
        settings.ALLOWED_HOSTS = ["samples.example.org"]
        assert "Host" not in states(request=passed_on(host="samples.example.org"))


class TestClock:
    def test_fish_that_came_in_later_than_now(self, party, white, vials):
        make_fish(party, white, received_at=datetime.now(UTC) + timedelta(hours=2))
        assert states()["Clock"] is State.WRONG

    def test_a_database_whose_clock_is_another(self, monkeypatch):
        monkeypatch.setattr(doctor, "_clocks_apart", lambda: timedelta(seconds=-90))
        assert states()["Clock"] is State.WRONG

    def test_the_clock_of_a_machine_that_keeps_time(self):
        assert states()["Clock"] is State.FINE


class TestStorage:
    def test_a_folder_that_may_not_be_written(self, settings, tmp_path, monkeypatch):
        def refuse(**how):
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(doctor, "TemporaryFile", refuse)
        settings.MEDIA_ROOT = str(tmp_path / "media")
        assert states()["Photos and pictures"] is State.WRONG

    def test_one_that_is_not_there_yet_is_fine_and_stays_away(self, settings, tmp_path):
        settings.MEDIA_ROOT = str(tmp_path / "media")
        assert states()["Photos and pictures"] is State.FINE
        assert not any(tmp_path.iterdir())

    def test_a_bucket_that_does_not_answer(self, settings, monkeypatch):
        def refuse(name):
            raise FilesUnreachable("away")

        settings.STORAGES = settings.STORAGES | {"default": {"BACKEND": BUCKET}}
        monkeypatch.setattr(probes, "default_storage", SimpleNamespace(exists=refuse))
        assert states()["Photos and pictures"] is State.WRONG

        monkeypatch.setattr(probes, "default_storage", SimpleNamespace(exists=bool))
        assert states()["Photos and pictures"] is State.FINE

    def test_settings_of_a_bucket_that_is_not_named(self, monkeypatch):
        monkeypatch.setenv("EARSTONE_S3_REGION", "north")
        found = list(doctor.look_at_storage())
        assert [one.state for one in found][:2] == [State.LOOK, State.FINE]


class TestMail:
    def test_a_server_that_refuses_is_told_when_asked(self, settings, monkeypatch):
        def refuse():
            raise smtplib.SMTPAuthenticationError(535, b"no")

        settings.EMAIL_HOST = "mail.example.org"
        monkeypatch.setattr("django.core.mail.get_connection", refuse)
        assert states()["Mail"] is State.FINE
        assert states(mail_too=True)["Mail"] is State.WRONG

    def test_none_is_worth_a_look_and_no_fault(self, settings):
        settings.EMAIL_HOST = ""
        assert states(mail_too=True)["Mail"] is State.LOOK


def test_styles_that_were_not_published(settings, tmp_path):
    settings.LOCAL, settings.STATIC_ROOT = False, tmp_path
    assert states()["Styles and scripts"] is State.WRONG
    (tmp_path / "staticfiles.json").write_text("{}")
    assert states()["Styles and scripts"] is State.FINE


def test_the_command_ends_with_1_where_something_is_wrong(settings, capsys):
    settings.PUBLIC_ADDRESS, settings.ALLOWED_HOSTS = "https://a.example.org", ["b.example.org"]
    settings.WORKER = "none"
    with pytest.raises(CommandError) as ended:
        call_command("doctor")
    assert ended.value.returncode == 1
    assert "a.example.org" in capsys.readouterr().out

    settings.ALLOWED_HOSTS = ["a.example.org"]
    call_command("doctor")


class TestPage:
    def test_what_is_wrong_stands_first(self, client, administrator, settings):
        settings.PUBLIC_ADDRESS = "https://a.example.org"
        client.force_login(administrator)
        found = client.get(PAGE).context["found"]
        assert {one.about for one in found} >= {"Database", "Backups", "Worker", "Proxy"}
        assert found[0].state is State.WRONG
        assert found[-1].state is State.FINE

    def test_is_for_the_administrator_alone(self, client, biologist):
        biologist.is_staff = True
        biologist.save()
        client.force_login(biologist)
        assert client.get(PAGE).status_code == 403
