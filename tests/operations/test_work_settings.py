"""Who does long work and where its results lie, by the database and what the environment says."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from fisheries import work
from fisheries.database import database_from

SQLITE = database_from("sqlite:////srv/earstone.sqlite3")
SERVER = database_from("postgresql://earstone@localhost/earstone")
MEMORY = database_from("sqlite:///:memory:")


@pytest.mark.parametrize(
    ("words", "database", "worker"),
    [
        ("", SQLITE, "embedded"),
        ("", SERVER, "apart"),
        ("apart", SQLITE, "apart"),
        ("none", SERVER, "none"),
        # Another process could not see it.
        ("apart", MEMORY, "none"),
    ],
)
def test_who_does_it(words, database, worker):
    assert work.worker_from(words, database) == worker


def test_a_worker_of_no_such_kind_is_refused():
    with pytest.raises(ImproperlyConfigured, match="EARSTONE_WORKER is 'thread'"):
        work.worker_from("thread", SERVER)


def test_without_a_worker_the_page_does_it_at_once():
    assert "Immediate" in work.tasks_for("none")["default"]["BACKEND"]
    assert "Database" in work.tasks_for("apart")["default"]["BACKEND"]


@pytest.mark.parametrize(
    ("database", "folder", "backend", "place"),
    [
        (SQLITE, "", "FileBasedCache", "/srv/earstone.results"),
        (SQLITE, "/var/results", "FileBasedCache", "/var/results"),
        (SERVER, "", "DatabaseCache", "samples_stored_result"),
        (MEMORY, "", "LocMemCache", "results"),
    ],
)
def test_results_lie_where_every_process_finds_them(database, folder, backend, place):
    cache = work.results_cache(database, redis="", folder=folder)

    assert cache["BACKEND"].endswith(backend)
    assert cache["LOCATION"] == place


def test_redis_keeps_them_only_where_it_is_named_and_installed(monkeypatch):
    address = "redis://localhost:6379/1"
    monkeypatch.setattr(work, "find_spec", lambda name: None)
    with pytest.raises(ImproperlyConfigured, match="EARSTONE_REDIS"):
        work.results_cache(SERVER, redis=address, folder="")

    monkeypatch.setattr(work, "find_spec", lambda name: name)
    assert work.results_cache(SERVER, redis=address, folder="")["LOCATION"] == address
