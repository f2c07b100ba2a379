"""Databases of their own beside the one of the tests, with the tables of this version."""

import contextlib
import uuid

from django.db import connection, connections, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from fisheries.database import database_from
from samples.management.move import copy_rows, moved_models, open_database


@contextlib.contextmanager
def opened(alias, url):
    """Have a database under an alias, with the tables of this version."""
    open_database(alias, database_from(url))
    made = connections[alias]
    make_tables(made)
    try:
        yield alias
    finally:
        made.close()
        del connections[alias]


def make_tables(made):
    """Make them from the models, which is quicker than one migration after another."""
    with made.constraint_checks_disabled(), made.schema_editor() as editor:
        for model in moved_models():
            if not model._meta.auto_created:
                editor.create_model(model)
    recorder = MigrationRecorder(made)
    for app, name in MigrationLoader(None).disk_migrations:
        recorder.record_applied(app, name)


@contextlib.contextmanager
def another(folder, alias):
    """Have an empty database of the kind that the tests run on, and its address."""
    if connection.vendor == "sqlite":
        url = f"sqlite:///{folder / alias}.sqlite3"
        with opened(alias, url):
            yield url
        return
    name = f"{alias}_{uuid.uuid4().hex[:8]}"
    options = connection.settings_dict
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}"')
    url = f"postgresql://{options['USER']}@/{name}?host={options['HOST']}"
    try:
        with opened(alias, url):
            yield url
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def fill(alias):
    """Copy what the database of the tests holds into another."""
    with transaction.atomic(using=alias):
        for model in moved_models():
            copy_rows(model, "default", alias)
