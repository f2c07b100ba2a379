"""From a pilot on SQLite to the database of a site: everything, once, and numbers go on."""

import contextlib
import uuid

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, connections, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from fisheries.database import database_from
from samples.management.move import (
    CannotMove,
    _copy_rows,
    compare_rows,
    compare_sequences,
    move_all,
    moved_models,
    open_database,
)
from samples.models import Fish, User
from tests.ramp import entries
from tests.ramp.taking import take


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


@pytest.fixture
def pilot(tmp_path, transactional_db, guide, party, vials, second_guide):
    """A pilot of two trips on SQLite, filled with what the database of the tests holds."""
    logged = entries.fish(party.party_id, vials[0].number)
    take(guide, logged, entries.fish(party.party_id, vials[1].number))
    take(guide, entries.correction(logged, length="10.1"))
    with opened("pilot", f"sqlite:///{tmp_path / 'pilot.sqlite3'}") as alias:
        with transaction.atomic(using=alias):
            for model in moved_models():
                _copy_rows(model, "default", alias)
        yield alias


@pytest.fixture
def server(tmp_path, transactional_db):
    """An empty database of the kind that the tests run on."""
    if connection.vendor == "sqlite":
        with opened("server", f"sqlite:///{tmp_path / 'server.sqlite3'}") as alias:
            yield alias
        return
    name = f"moved_{uuid.uuid4().hex[:8]}"
    options = connection.settings_dict
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}"')
    url = f"postgresql://{options['USER']}@/{name}?host={options['HOST']}"
    try:
        with opened("server", url) as alias:
            yield alias
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f'DROP DATABASE "{name}"')


def test_everything_moves_and_the_next_number_is_a_new_one(pilot, server):
    said = []
    moved = move_all(pilot, server, said.append)

    rows = {
        model._meta.db_table: model._base_manager.using(server).count() for model in moved_models()
    }
    assert moved == sum(rows.values())
    assert rows["samples_fish"] == 2
    assert rows["samples_historicalfish"] == 3
    assert any("samples_vial" in line and " 30 " in line for line in said)
    fish = Fish.objects.using(server).get(vial__number__startswith="260001")
    assert fish.length_as_measured == "10.1"
    assert Fish.objects.using(pilot).count() == 2
    new = User.objects.using(server).create(username="new", display_name="N. Ew")
    assert new.pk > max(User.objects.using(pilot).values_list("pk", flat=True))


def test_a_database_that_holds_anything_is_refused(pilot, server):
    User.objects.using(server).create(username="here", display_name="H. Ere")

    with pytest.raises(CannotMove, match="not empty: samples_user has rows"):
        move_all(pilot, server, print)

    assert not Fish.objects.using(server).exists()


def test_tables_of_another_version_are_refused(pilot, server):
    MigrationRecorder(connections[server]).record_unapplied("samples", "0001_initial")
    with pytest.raises(CannotMove, match="migrate on the other database first"):
        move_all(pilot, server, print)

    MigrationRecorder(connections[pilot]).record_applied("samples", "0999_of_next_year")
    with pytest.raises(CannotMove, match="later version"):
        move_all(pilot, server, print)


def test_a_row_that_differs_undoes_the_move(pilot, server, monkeypatch):
    def lose_one(model, source, target):
        copied = _copy_rows(model, source, target)
        if model is Fish:
            Fish.objects.using(target).order_by("pk").last().delete()
        return copied

    monkeypatch.setattr("samples.management.move._copy_rows", lose_one)

    with pytest.raises(CannotMove, match="of samples_fish differs"):
        move_all(pilot, server, print)

    assert not User.objects.using(server).exists()


@pytest.mark.postgres
def test_a_sequence_that_lags_is_noticed(pilot, server):
    move_all(pilot, server, print)
    with connections[server].cursor() as cursor:
        cursor.execute("ALTER SEQUENCE samples_fish_id_seq RESTART WITH 1")

    with pytest.raises(CannotMove, match="samples_fish would be given again"):
        compare_sequences(server, [Fish])
    compare_rows(Fish, pilot, server)


@pytest.mark.postgres
@pytest.mark.django_db
def test_the_sites_own_database_is_no_target(settings):
    own = settings.DATABASES["default"]

    with pytest.raises(CommandError, match="own database"):
        call_command("move_to", f"postgresql:///{own['NAME']}?host={own['HOST']}")
