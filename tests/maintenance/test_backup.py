"""Making a backup: what it never does to older ones, and what stops it."""

import fcntl
import stat
from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from samples.maintenance.backup import age_of_newest, make_backup
from samples.maintenance.errors import CannotBackUp
from samples.maintenance.restore import restore_backup
from samples.models import Fish
from tests.maintenance.conftest import manage
from tests.people import NOW

OLD = b"the only backup there is"


def back_up(folder, *, now=NOW, keep=0, database=connection):
    return make_backup(database, folder, now=now, keep=keep, report=lambda words: None)


def why_refused(folder, **options):
    """Return the code of what stops a backup."""
    with pytest.raises(CannotBackUp) as refused:
        back_up(folder, **options)
    return refused.value.code


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "backups"


@pytest.fixture
def older(folder):
    """Return a backup of the day before."""
    folder.mkdir()
    path = folder / "earstone-2026-05-05T17-30-00Z.zip"
    path.write_bytes(OLD)
    return path


def files_in(folder):
    return sorted(path.name for path in folder.iterdir() if path.name != ".earstone-backup.lock")


class TestOlderBackups:
    def test_the_same_second_is_never_written_over(self, logged, folder):
        first = back_up(folder)
        before = first.read_bytes()

        assert why_refused(folder) == "exists"
        assert first.read_bytes() == before
        assert files_in(folder) == [first.name]

    def test_stay_whole_when_the_database_is_away(self, older, empty_database, tmp_path):
        nowhere = tmp_path / "nowhere"
        empty_database.settings_dict["HOST"] = str(nowhere)
        if empty_database.vendor == "sqlite":
            empty_database.settings_dict["NAME"] = str(nowhere / "earstone.sqlite3")

        done = manage(empty_database, "backup", "--to", older.parent, "--keep", "1")

        assert done.returncode == 1
        assert "Traceback" not in done.stderr
        assert older.read_bytes() == OLD
        assert files_in(older.parent) == [older.name]

    def test_stay_when_there_is_nothing_to_back_up(self, older, empty_database):
        assert why_refused(older.parent, keep=1, database=empty_database) == "no_tables"
        assert older.read_bytes() == OLD

    def test_all_but_the_latest_go_once_a_new_one_stands(self, logged, older, folder):
        (folder / "earstone-2026-05-04T17-30-00Z.zip").write_bytes(OLD)
        (folder / "note.txt").write_bytes(b"somebody else's")

        made = back_up(folder, keep=2)

        assert files_in(folder) == sorted([older.name, made.name, "note.txt"])

    def test_how_many_stay_may_be_a_setting(self, logged, older, folder, settings):
        settings.BACKUP_KEEP = 1

        call_command("backup", to=folder, stdout=StringIO())

        assert older.name not in files_in(folder)
        assert len(files_in(folder)) == 1

    def test_what_a_killed_one_left_is_cleared_away(self, logged, folder):
        folder.mkdir()
        (folder / "earstone-2026-05-05T17-30-00Z.zip.part").write_bytes(b"half")
        (folder / ".earstone-x.part").write_bytes(b"half")

        made = back_up(folder)

        assert files_in(folder) == [made.name]

    def test_two_at_once_do_not_mix(self, transactional_db, folder):
        folder.mkdir()
        with (folder / ".earstone-backup.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)

            assert why_refused(folder) == "running"


class TestAge:
    def test_is_that_of_the_newest_by_its_name(self, older, folder):
        (folder / "earstone-2026-04-01T00-00-00Z.zip").write_bytes(OLD)

        assert age_of_newest(folder, NOW) == timedelta(days=1)
        assert age_of_newest(folder / "none", NOW) is None

    def test_the_command_says_whether_it_is_young_enough(self, folder, capsys):
        folder.mkdir()
        made = datetime.now(UTC) - timedelta(hours=30)
        (folder / f"earstone-{made:%Y-%m-%dT%H-%M-%SZ}.zip").write_bytes(OLD)

        call_command("backup", to=folder, newest_within=40)
        assert " 30 hours" in capsys.readouterr().out
        with pytest.raises(CommandError, match=" 30 hours"):
            call_command("backup", to=folder, newest_within=26)
        with pytest.raises(CommandError, match=str(folder / "none")):
            call_command("backup", to=folder / "none", newest_within=26)


@pytest.mark.postgres
class TestPrograms:
    """Of PostgreSQL: their version, their failures, and fish that arrive while they run."""

    @pytest.fixture
    def program(self, tools, tmp_path, settings):
        """Put a script in the place of a program; it may call the real one as $real."""
        real = tools
        settings.PG_TOOLS = str(tmp_path / "bin")

        def put(**scripts):
            (tmp_path / "bin").mkdir()
            for name in ("pg_dump", "pg_restore"):
                path = tmp_path / "bin" / name
                version = f'real={real}/{name}\n[ "$1" = --version ] && exec $real --version\n'
                path.write_text("#!/bin/sh\n" + scripts.get(name, version + 'exec $real "$@"\n'))
                if name in scripts:
                    path.write_text("#!/bin/sh\n" + version + scripts[name])
                path.chmod(stat.S_IRWXU)

        return put

    def test_an_older_one_than_the_server_is_refused(self, program, logged, older, tmp_path):
        program()
        path = tmp_path / "bin" / "pg_dump"
        path.write_text("#!/bin/sh\necho 'pg_dump (PostgreSQL) 15.8'\n")

        assert why_refused(older.parent, keep=1) == "tool_too_old"
        assert older.read_bytes() == OLD

    def test_none_at_all(self, logged, folder, settings, tmp_path):
        settings.PG_TOOLS = str(tmp_path)

        assert why_refused(folder) == "tool_missing"

    def test_one_that_fails_half_way_leaves_nothing(self, program, logged, older):
        program(pg_dump="echo half of it; echo 'out of disk' >&2; exit 1\n")

        assert why_refused(older.parent, keep=1) == "dump_failed"
        assert files_in(older.parent) == [older.name]

    def test_one_that_writes_less_and_says_nothing_is_found_out(self, program, logged, older):
        program(pg_dump='$real "$@" | head -c 20000\n')

        assert why_refused(older.parent, keep=1) == "database_unreadable"
        assert files_in(older.parent) == [older.name]

    def test_a_fish_that_arrives_meanwhile_is_neither_counted_nor_dumped(
        self, tools, program, logged, folder, empty_database
    ):
        facts = connection.settings_dict
        sql = "UPDATE samples_fish SET vial_id = NULL; DELETE FROM samples_heldentry;"
        psql = f"{tools}/psql"
        program(
            pg_dump=f"{psql} -q -h {facts['HOST']} -U {facts['USER']} -d {facts['NAME']} "
            f"-c '{sql}' || exit 9\n" + 'exec $real "$@"\n'
        )

        made = back_up(folder)

        assert not Fish.objects.filter(vial__isnull=False).exists()
        restore_backup(empty_database, made, report=lambda words: None)
        with empty_database.cursor() as cursor:
            cursor.execute("SELECT count(vial_id) FROM samples_fish")
            assert cursor.fetchone() == (3,)
