"""From a pilot on SQLite to the database of a site: everything, once, and numbers go on."""

import pytest
from django.core.management import CommandError, call_command
from django.db import connections
from django.db.migrations.recorder import MigrationRecorder

from samples.management.move import (
    CannotMove,
    compare_rows,
    compare_sequences,
    copy_rows,
    move_all,
    moved_models,
)
from samples.models import Fish, User
from tests.operations.databases import another, fill, opened
from tests.ramp import entries
from tests.ramp.taking import take


@pytest.fixture
def pilot(tmp_path, transactional_db, guide, party, vials, second_guide):
    """Return a pilot of two trips on SQLite, filled with what the database of the tests holds."""
    logged = entries.fish(party.party_id, vials[0].number)
    take(guide, logged, entries.fish(party.party_id, vials[1].number))
    take(guide, entries.correction(logged, length="10.1"))
    with opened("pilot", f"sqlite:///{tmp_path / 'pilot.sqlite3'}") as alias:
        fill(alias)
        yield alias


@pytest.fixture
def server(tmp_path, transactional_db):
    with another(tmp_path, "server"):
        yield "server"


def refused(code):
    """Expect a move to be refused by its code; the refusal is not kept, nor the rows it holds."""
    return pytest.raises(CannotMove, check=lambda problem: problem.code == code)


def test_everything_moves_and_the_next_number_is_a_new_one(pilot, server):
    said: list[str] = []
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

    with refused("not_empty"):
        move_all(pilot, server, print)

    assert not Fish.objects.using(server).exists()


def test_tables_of_another_version_are_refused(pilot, server):
    MigrationRecorder(connections[server]).record_unapplied("samples", "0001_initial")
    with refused("older_tables"):
        move_all(pilot, server, print)

    MigrationRecorder(connections[pilot]).record_applied("samples", "0999_of_next_year")
    with refused("newer_tables"):
        move_all(pilot, server, print)


def test_a_row_that_differs_undoes_the_move(pilot, server, monkeypatch):
    def lose_one(model, source, target):
        copied = copy_rows(model, source, target)
        if model is Fish:
            Fish.objects.using(target).order_by("pk").last().delete()
        return copied

    monkeypatch.setattr("samples.management.move.copy_rows", lose_one)

    with refused("row_differs"):
        move_all(pilot, server, print)

    assert not User.objects.using(server).exists()


@pytest.mark.postgres
def test_a_sequence_that_lags_is_noticed(pilot, server):
    move_all(pilot, server, print)
    with connections[server].cursor() as cursor:
        cursor.execute("ALTER SEQUENCE samples_fish_id_seq RESTART WITH 1")

    with refused("numbers_repeat"):
        compare_sequences(server, [Fish])
    compare_rows(Fish, pilot, server)


@pytest.mark.postgres
@pytest.mark.django_db
def test_the_sites_own_database_is_no_target(settings):
    own = settings.DATABASES["default"]

    with pytest.raises(CommandError, match="own database"):
        call_command("move_to", f"postgresql:///{own['NAME']}?host={own['HOST']}")
