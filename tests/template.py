"""Databases that begin with the tables of one that was migrated once for the whole run.

Migrating takes some ten seconds, and would be done by every worker and for every site that a test
starts. Without a template, as when one test is run by hand, each migrates its own.
"""

import os
import pathlib
import shutil
import sqlite3
from contextlib import closing
from typing import Any
from urllib.parse import urlsplit, urlunsplit

from django.db import connection

VARIABLE = "EARSTONE_TESTS_TEMPLATE"


def template() -> str:
    """Return what this run was given: the path of an SQLite file, a database's name, or nothing."""
    return os.environ.get(VARIABLE, "")


def address_of_template() -> str:
    """Return the address of the template on the PostgreSQL of this run."""
    server = urlsplit(os.environ["DATABASE_URL"])
    return urlunsplit(server._replace(path=f"/{template()}"))


def copy_sqlite_template(path: pathlib.Path) -> None:
    """Lay a migrated SQLite file at the path, where this run has one to copy."""
    if template().endswith(".sqlite3"):
        shutil.copyfile(template(), path)


def begin_with_template() -> None:
    """Let this connection's test database, when Django makes it, hold the template's tables.

    PostgreSQL copies one itself, by tests/settings.py.
    """
    if connection.vendor != "sqlite" or not template().endswith(".sqlite3"):
        return
    creation: Any = connection.creation
    make = creation._create_test_db

    def make_and_fill(*arguments, **named):
        name = make(*arguments, **named)
        connection.settings_dict["NAME"] = name
        connection.ensure_connection()
        with closing(sqlite3.connect(template())) as source:
            source.backup(connection.connection)
        return name

    creation._create_test_db = make_and_fill
