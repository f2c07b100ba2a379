"""An installation of 0.1.0 is brought up to date with all that it holds, on either database.

Its dump is loaded into a database of its own; a process of its own migrates it and asks it what
was asked of it at 0.1.0. The dumps were made by make_dumps.py.
"""

import gzip
import json
import os
import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest
from django.conf import settings
from django.db import connection
from psycopg import sql

from tests.upgrade.make_dumps import ANSWERS, POSTGRESQL, SQLITE

THEN = json.loads(ANSWERS.read_text(encoding="utf-8"))
MOST_BYTES = 300_000


def text_of(path):
    return gzip.decompress(path.read_bytes()).decode()


@pytest.fixture
def installation(tmp_path):
    """Load the dump of the database that this run is on; give the address of what was loaded."""
    if "sqlite" in settings.DATABASES["default"]["ENGINE"]:
        file = tmp_path / "earstone.sqlite3"
        with closing(sqlite3.connect(file)) as database:
            database.executescript(text_of(SQLITE))
        yield f"sqlite:///{file}"
        return
    server = urlsplit(os.environ["DATABASE_URL"])
    name = f"{connection.settings_dict['NAME']}_of_0_1_0_{os.getpid()}"
    address = urlunsplit(server._replace(path=f"/{name}"))
    with psycopg.connect(server.geturl(), autocommit=True) as admin:
        admin.execute(sql.SQL("CREATE DATABASE {} ENCODING 'UTF8'").format(sql.Identifier(name)))
        try:
            with psycopg.connect(address) as loading:
                loading.execute(text_of(POSTGRESQL))
            yield address
        finally:
            admin.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def upgrade_and_ask(address):
    done = subprocess.run(
        [sys.executable, "-m", "tests.upgrade.ask"],
        env={**os.environ, "DATABASE_URL": address},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.django_db  # says that it is about the database of the run, and runs on each
def test_an_installation_is_upgraded_with_all_that_it_holds(installation):
    found = upgrade_and_ask(installation)

    # Tables may be added; those of then have every row, histories too.
    assert {table: found["rows"].get(table) for table in THEN["rows"]} == THEN["rows"]
    assert found["answers"] == THEN["answers"]
    # A phone that was set up then sends on: what arrived counts once, what was held is held.
    assert found["phone"] == THEN["phone"]
    # What was held then can be settled now.
    assert found["settled"] == THEN["settled"]


# What a phone of then sends again, by its name there.
SENT = {
    "a fish in inches, its vial as on the label": ["already_logged", ""],
    "a number that was never printed": ["held", "unknown_vial"],
    # The office has given this one another vial: it counts, and comes no second time.
    "a vial that holds another fish": ["already_logged", ""],
    "one fish more": ["logged", ""],
}


def test_what_was_asked_then_is_worth_asking():
    answers, sent = THEN["answers"], THEN["phone"]["sent"]

    assert answers["open_trips"] == {"R. Ostrow": ["Cutbank", 2], "I. Talvik": ["Hobbin", 1]}
    assert sum(answers["held_open"].values()) == 17
    assert len(answers["ages"]) == 8
    assert set(answers["pages"]["opened"].values()) == {200}
    assert answers["pages"]["coverage"]["all arms 8.0"] == ["6", "5", "3", "3", "10", "7"]
    assert THEN["phone"]["link"] == 200
    assert {name: sent[name] for name in SENT} == SENT
    assert THEN["settled"]["fish"] == [[19, "9.4", "r-ostrow"]]
    assert set(THEN["settled"]["opened"].values()) == {200}
    full = {table for table, rows in THEN["rows"].items() if rows}
    assert {"samples_historicalfish", "samples_reading", "samples_age", "samples_phone"} <= full


class TestDumps:
    def test_they_are_small(self):
        assert SQLITE.stat().st_size + POSTGRESQL.stat().st_size < MOST_BYTES

    @pytest.mark.parametrize("dump", [SQLITE, POSTGRESQL], ids=["sqlite", "postgresql"])
    def test_they_name_no_machine_and_need_no_program(self, dump):
        text = text_of(dump)

        assert "Lake Orrinbeck" in text
        assert re.findall(r"/(?:tmp|root|home|work|var|usr)/|OWNER TO|GRANT ", text) == []
        assert re.findall(r"(?m)^(?:\\|COPY )", text) == []
        assert re.findall(r"\b(?:\d{1,3}\.){3}\d{1,3}\b", text) == []
