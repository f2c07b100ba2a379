"""A small installation to back up, and an empty database of the same kind to bring it back to."""

import os
import pathlib
import subprocess
import sys
from urllib.parse import quote

import pytest
from django.conf import settings
from django.db import connection, connections

from tests.ramp import entries
from tests.ramp.taking import take

ROOT = pathlib.Path(__file__).resolve().parents[2]


def tools_of_this_postgresql():
    """Return the folder of the programs that the server of these tests came with."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT setting FROM pg_config WHERE name = 'BINDIR'")
        return pathlib.Path(cursor.fetchone()[0])


@pytest.fixture
def tools(transactional_db, settings):
    if connection.vendor == "postgresql":
        settings.PG_TOOLS = str(tools_of_this_postgresql())
    return settings.PG_TOOLS


@pytest.fixture
def logged(tools, guide, party, vials):
    """Three fish in vials, and a fourth that claims the vial of the first."""
    numbers = [vials[0].number, vials[1].number, vials[2].number, vials[0].number]
    take(guide, *(entries.fish(party.party_id, number) for number in numbers))
    return numbers


@pytest.fixture
def empty_database(tools, tmp_path):
    """Return a connection to another database, of the kind that the tests run on,
    without a table.
    """
    facts = dict(connection.settings_dict)
    if connection.vendor == "sqlite":
        facts["NAME"] = str(tmp_path / "empty.sqlite3")
        other = type(connections["default"])(facts, alias="empty")
        yield other
        other.close()
        return
    name = facts["NAME"] = f"{facts['NAME']}_empty"
    with connection.cursor() as cursor:
        cursor.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        cursor.execute(f'CREATE DATABASE "{name}"')
    other = type(connections["default"])(facts, alias="empty")
    yield other
    other.close()
    with connection.cursor() as cursor:
        cursor.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def manage(database, *arguments):
    """Run manage.py as a person would, against the database of a connection."""
    facts = database.settings_dict
    if database.vendor == "sqlite":
        address = f"sqlite:///{facts['NAME']}"
    else:
        host, user = quote(facts["HOST"], safe=""), quote(facts["USER"])
        address = f"postgresql://{user}@/{facts['NAME']}?host={host}"
    return subprocess.run(
        [sys.executable, "-W", "ignore", "manage.py", *map(str, arguments)],
        cwd=ROOT,
        env={
            **os.environ,
            "DATABASE_URL": address,
            "EARSTONE_PG_TOOLS": settings.PG_TOOLS,
        },
        capture_output=True,
        text=True,
        check=False,
    )
