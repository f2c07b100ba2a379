"""/healthy/ and /ready/: what machines that watch are told."""

import os
import time

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from fisheries import __version__, probes
from samples.computations.results import report_alive

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def ask_anew(monkeypatch):
    monkeypatch.setattr(probes, "KEPT_FOR_S", -1)


def away(*args, **kwargs):
    raise OperationalError("gone")


def refuse_writes(execute, sql, *args):
    if sql.startswith("INSERT"):
        raise OperationalError("attempt to write a readonly database")
    return execute(sql, *args)


def ask(client):
    answer = client.get("/ready/")
    return answer.status_code, answer.json()


def test_a_site_that_works_is_ready_and_names_its_version(client):
    status, words = ask(client)

    assert status == 200
    assert (words["ready"], words["failed"], words["version"]) == (True, [], __version__)
    assert "migrations" in words["checks"]


def test_a_probe_leaves_nothing_behind(client):
    from django.contrib.sessions.models import Session

    ask(client)

    assert not Session.objects.exists()


def test_without_a_database_it_is_healthy_and_not_ready(client, guide, caplog):
    client.force_login(guide)
    with connection.execute_wrapper(away):
        healthy = client.get("/healthy/")
        status, words = ask(client)

    assert healthy.status_code == 200
    assert (status, words["failed"]) == (503, ["database"])
    assert words["checks"]["writable"] == "not tried"
    [line] = [one for one in caplog.records if one.name == "fisheries.probes"]
    assert (line.levelname, line.args) == ("ERROR", (words["checks"]["database"],))


def test_a_database_that_takes_no_writes(client):
    with connection.execute_wrapper(refuse_writes):
        status, words = ask(client)

    assert (status, words["failed"]) == (503, ["writable"])


@pytest.mark.parametrize("name", ["healthy", "ready"])
def test_neither_a_cookie_nor_a_host_nor_plain_http_stands_in_the_way(client, settings, name):
    settings.SECURE_SSL_REDIRECT = True
    client.cookies["sessionid"] = "no such session"

    answer = client.get(f"/{name}/", headers={"host": "127.0.0.1:8000"})

    assert answer.status_code == 200
    assert not answer.cookies


def test_tables_behind_and_ahead_of_the_code(client):
    recorder = MigrationRecorder(connection)
    recorder.record_unapplied("samples", "0001_initial")
    behind = ask(client)
    recorder.record_applied("samples", "0001_initial")
    recorder.record_applied("samples", "0999_of_next_year")
    ahead = ask(client)

    assert behind[0] == ahead[0] == 503
    assert behind[1]["failed"] == ahead[1]["failed"] == ["migrations"]
    assert "samples.0001_initial" in behind[1]["checks"]["migrations"]
    assert "samples.0999_of_next_year" in ahead[1]["checks"]["migrations"]


def test_an_old_backup_and_a_full_disk_are_warnings(client, settings, tmp_path):
    settings.BACKUP_FOLDER, settings.LEAST_FREE_MB = tmp_path, 10**12
    without = ask(client)
    dump = tmp_path / "earstone.dump"
    dump.touch()
    os.utime(dump, (time.time() - 50 * 3600,) * 2)
    old = ask(client)
    os.utime(dump)
    fresh = ask(client)

    assert without[0] == old[0] == 200
    assert without[1]["warnings"] == old[1]["warnings"] == ["disk", "backup"]
    assert old[1]["checks"]["backup"].count(" 50 ") == 1
    assert fresh[1]["warnings"] == ["disk"]


def test_the_version_stands_in_the_foot_of_staff_pages_alone(client, biologist, guide, lake):
    client.force_login(biologist)
    staff = client.get(f"/lakes/{lake.slug}/").content.decode()
    client.force_login(guide)
    guides = client.get("/ramp/", follow=True).content.decode()

    assert f"Earstone {__version__}" in staff
    assert f"Earstone {__version__}" not in guides


def test_a_worker_that_is_not_there_is_a_warning(client, settings):
    settings.WORKER = "apart"
    without = ask(client)
    report_alive(timezone.now())
    with_one = ask(client)

    assert without[0] == 200
    assert "worker" in without[1]["warnings"]
    assert with_one[1]["checks"]["worker"] == "running"
    assert "worker" not in with_one[1]["warnings"]
