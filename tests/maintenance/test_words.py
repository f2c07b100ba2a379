"""What whoever runs a site reads of backups, restores and the check of the data, word for word."""

import io

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from samples.maintenance.backup import make_backup
from samples.maintenance.check import check_data
from samples.models import Fish, NumberYear, Party, Vial
from samples.models.fish import Progress
from samples.rules import vial_number
from tests.maintenance.conftest import manage
from tests.maintenance.files import write_members
from tests.people import NOW


def run(command, *arguments, **options):
    """Return what a command prints, and what it ends with where it fails."""
    printed = io.StringIO()
    try:
        call_command(command, *arguments, stdout=printed, **options)
    except CommandError as problem:
        return f"{printed.getvalue()}{problem}"
    return printed.getvalue()


def sentences():
    return [found.sentence for found in check_data(now=NOW) if found.is_problem]


class TestBackups:
    def test_one_that_was_made_and_one_that_was_not(self, logged, tmp_path, empty_database):
        made = run("backup", to=tmp_path / "backups")
        empty_database.settings_dict["HOST"] = str(tmp_path / "nowhere")
        if empty_database.vendor == "sqlite":
            empty_database.settings_dict["NAME"] = str(tmp_path / "nowhere" / "a.sqlite3")
        failed = manage(empty_database, "backup", "--to", tmp_path / "others")

        assert "keep it private" in made
        assert "No backup was made. The database can't be reached" in failed.stderr

    def test_how_old_the_newest_is(self, tmp_path):
        nothing = run("backup", to=tmp_path, newest_within=26)
        (tmp_path / "earstone-2026-05-05T17-30-00Z.zip").touch()

        assert nothing == f"There is no backup in {tmp_path}."
        assert run("backup", to=tmp_path, newest_within=1).startswith("The newest backup is ")

    def test_what_stands_in_the_way_of_a_restore(self, logged, tmp_path):
        made = make_backup(connection, tmp_path, now=NOW, keep=0, report=lambda words: None)
        write_members(tmp_path / "other.zip", {"letter.txt": b"Dear reader"})

        full = run("restore", made)

        assert "Not restored: This database is not empty: it holds " in full
        assert "and 3 fish. A backup is restored into an empty one" in full
        assert "no manifest, so it is not an Earstone backup" in run(
            "restore", tmp_path / "other.zip"
        )
        assert f"There is no file {tmp_path / 'none.zip'}." in run("restore", tmp_path / "none.zip")

    @pytest.mark.postgres
    def test_which_program_is_missing(self, logged, settings, tmp_path):
        settings.PG_TOOLS = str(tmp_path)

        assert f"There is no pg_dump in {tmp_path}. Set EARSTONE_PG_TOOLS" in run(
            "backup", to=tmp_path
        )


class TestCheckOfTheData:
    def test_what_was_looked_at_and_that_all_is_well(self, logged, vials):
        said = run("check_data")
        claimed = vial_number.grouped(vials[0].number)

        assert "Checked: vials 30, trips 1, fish 3" in said
        assert f"Note: Vials that are claimed by a second fish (1): {claimed}" in said
        assert "Note: 1 entry waits for the office to resolve." in said
        assert said.endswith("No problem found.\n")

    def test_vials_and_their_numbers(self, logged, vials):
        number = vial_number.grouped(vials[9].number)
        vials[9].delete()
        Vial.objects.filter(pk=vials[0].pk).update(state=Vial.State.ISSUED)

        missing, run_of, unused = sentences()

        assert missing == f"1 number of 2026 was given out and has no vial: {number}."
        assert run_of.endswith("was of 30 numbers, and 29 of its vials are there.")
        assert unused.startswith("Vials that hold a fish and are still marked as unused (1): ")

    def test_what_repeats_other_columns(self, logged):
        NumberYear.objects.update(last_sequence=12)
        Party.objects.update(method="creel")
        Fish.objects.filter(pk=Fish.objects.earliest("pk").pk).update(progress=Progress.AGED)

        counter, trip, progress = sentences()

        assert "is noted as 12, and there are vials up to 30" in counter
        assert trip.startswith("3 fish do not repeat what the trip says of lake")
        assert progress.startswith("1 fish is counted at another stage")
        assert "Recalculated the status of 1 fish." in run("check_data", refresh_progress=True)
