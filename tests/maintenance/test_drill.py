"""The drill: back up while fish are there, restore into an empty database, compare all of it."""

import hashlib
import io
import pathlib
import stat
import uuid
import zipfile
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from samples.donors.services import note_address, post_message
from samples.maintenance.archive import MEDIA, Manifest, opened, read_manifest
from samples.maintenance.backup import list_backups, make_backup
from samples.maintenance.engines import engine_of
from samples.maintenance.errors import CannotRestore
from samples.maintenance.photos import stray_photos
from samples.maintenance.restore import restore_backup
from samples.maintenance.tables import list_applied_migrations, list_tables
from samples.models import (
    Ask,
    AskedFish,
    Donor,
    DonorAddress,
    DonorMail,
    DonorMessage,
    Fish,
    LabelPrint,
    Photo,
    Report,
    ReportBlock,
    ReportDraft,
)
from samples.ramp.services import keep_photo
from samples.vials.computed import find_file
from samples.vials.queries import print_job
from samples.vials.services import draw_labels, make_run
from tests.asks.test_asks import send
from tests.maintenance.conftest import manage
from tests.maintenance.files import rewrite_manifest
from tests.people import NOW
from tests.ramp.test_photos import picture


def restore(database, backup):
    return restore_backup(database, backup, report=lambda words: None)


def why_refused(database, backup):
    """Return the code of what stops a restore."""
    with pytest.raises(CannotRestore) as refused:
        restore(database, backup)
    return refused.value.code


def why_command_refused(backup):
    """Return the code of what stops the command, at the database of the tests."""
    with pytest.raises(CommandError) as refused:
        call_command("restore", backup)
    return refused.value.__cause__.code


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "backups"


@pytest.fixture
def backup(logged, folder):
    return make_backup(connection, folder, now=NOW, keep=0, report=lambda words: None)


@pytest.fixture
def told_donors(season, lake, biologist, brindle, guide, white):
    """A list for guides, a message with a mail, and a report with a draft."""
    send(season, biologist, brindle, words="Crappie under 8 in")
    lake.mails_donors = True
    lake.save()
    donor = Donor.objects.get(person=guide)
    note_address(donor, email="a@example.org", actor=guide, now=NOW)
    post_message(lake, text="Thank you", by_mail=True, actor=biologist, now=NOW)
    by = {"changed_by": biologist, "changed_at": NOW}
    report = Report.objects.create(
        lake=lake,
        season=season,
        title="Crappie of 2026",
        created_by=biologist,
        created_at=NOW,
        **by,
    )
    ReportBlock.objects.create(report=report, place=1, kind="summary", words="In short", **by)
    ReportDraft.objects.create(report=report, number=1, requested_by=biologist, requested_at=NOW)
    rows = [Ask, AskedFish, DonorMessage, DonorAddress, DonorMail, Report, ReportBlock, ReportDraft]
    assert [table._default_manager.count() for table in rows] == [1] * len(rows)
    return rows


def test_what_is_restored_is_what_was_backed_up(logged, told_donors, folder, empty_database):
    said = io.StringIO()
    call_command("backup", to=folder, stdout=said)
    (made,) = list_backups(folder)
    assert str(made) in said.getvalue()

    done = manage(empty_database, "restore", made)

    assert done.returncode == 0, done.stderr
    with empty_database.cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations")
        migrations = sorted(f"{app}.{name}" for app, name in cursor.fetchall())
    assert migrations == list_applied_migrations(connection)
    here, there = io.StringIO(), manage(empty_database, "dumpdata", "samples")
    call_command("dumpdata", "samples", stdout=here)
    assert there.stdout == here.getvalue()
    assert '"model": "samples.heldentry"' in there.stdout
    for table in told_donors:
        assert f'"model": "{table._meta.label_lower}"' in there.stdout
    checked = manage(empty_database, "check_data")
    assert (checked.returncode, "fish 3" in checked.stdout) == (0, True)


def test_new_rows_go_on_from_the_restored_ones(backup, empty_database):
    """Where numbers of rows did not come along, the next fish would take one that is used."""
    restore(empty_database, backup)
    with empty_database.cursor() as cursor:
        cursor.execute("SELECT max(id) FROM samples_lake")
        (last,) = cursor.fetchone()
        cursor.execute(
            "INSERT INTO samples_lake (name, slug, length_unit, time_zone) "
            "VALUES ('Quarry Pond', 'quarry-pond', 'in', 'America/Chicago') RETURNING id"
        )
        assert cursor.fetchone()[0] == last + 1


def test_nobody_else_reads_a_backup(backup):
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    assert stat.S_IMODE(backup.parent.stat().st_mode) == 0o700


def test_the_manifest_says_what_the_backup_is_of(backup):
    with opened(backup) as file:
        manifest = read_manifest(file)

    assert (manifest.version, manifest.engine) == ("0.1.0", connection.vendor)
    assert manifest.made_at == "2026-05-06T17:30:00+00:00"
    assert manifest.counts["samples_fish"] == Fish.objects.count() == 3
    assert "samples.0001_initial" in manifest.migrations


class TestUploads:
    @pytest.fixture
    def media(self, settings, tmp_path):
        files = {"BACKEND": "django.core.files.storage.FileSystemStorage"}
        settings.STORAGES = settings.STORAGES | {"default": files}
        settings.MEDIA_ROOT = str(tmp_path / "media")
        return tmp_path / "media"

    def keep(self, size):
        fish = Fish.objects.earliest("pk")
        data = picture(size)
        keep_photo(
            fish, data, sha256=hashlib.sha256(data).hexdigest(), author=fish.logged_by,
            phone=None, now=NOW,
        )  # fmt: skip
        return Photo.objects.get(fish=fish)

    def uploads_in(self, backup):
        with zipfile.ZipFile(backup) as file:
            return [name for name in file.namelist() if name.startswith(MEDIA)]

    def test_a_photo_comes_back_as_a_row_and_its_file(
        self, logged, media, settings, folder, empty_database, tmp_path
    ):
        photo = self.keep((800, 600))
        backup = make_backup(connection, folder, now=NOW, keep=0, report=lambda words: None)
        settings.MEDIA_ROOT = str(tmp_path / "elsewhere")

        restore(empty_database, backup)

        with empty_database.cursor() as cursor:
            cursor.execute("SELECT fish_id, file, sha256 FROM samples_photo")
            assert cursor.fetchall() == [(photo.fish_id, photo.file.name, photo.sha256)]
        file = tmp_path / "elsewhere" / photo.file.name
        assert hashlib.sha256(file.read_bytes()).hexdigest() == photo.sha256

    def test_are_those_of_the_moment_of_the_dump(self, logged, media, folder, monkeypatch):
        first = self.keep((800, 600))
        stray = media / "photos" / "stray.jpg"
        stray.write_bytes(b"of no fish")
        engine = engine_of(connection)
        dump, dumps = engine.dump, []

        def dump_and_replace(*arguments, **more):
            held = dump(*arguments, **more)
            dumps.append(held.uploads)
            if len(dumps) == 1:
                self.keep((640, 480))
            return held

        monkeypatch.setattr(engine, "dump", dump_and_replace)
        backup = make_backup(connection, folder, now=NOW, keep=0, report=lambda words: None)

        second = Photo.objects.get()
        assert dumps == [[first.file.name], [second.file.name]]
        assert self.uploads_in(backup) == [MEDIA + second.file.name]

    def test_one_that_was_lost_before_stops_no_backup(self, logged, media, folder):
        lost = self.keep((800, 600))
        pathlib.Path(lost.file.path).unlink()
        reports: list[str] = []

        backup = make_backup(connection, folder, now=NOW, keep=0, report=reports.append)

        assert self.uploads_in(backup) == []
        assert any("check_data" in words for words in reports)

    def test_files_of_labels_are_left_out_and_drawn_again(
        self, logged, media, folder, season, office
    ):
        run = make_run(
            season=season, count=3, stock="sheet-35x15", first_position=1,
            request_id=uuid.uuid4(), actor=office, now=NOW,
        )  # fmt: skip
        job: Any = print_job(run.first_print)
        draw_labels(job)
        labels = LabelPrint.objects.get().file
        reports: list[str] = []

        backup = make_backup(connection, folder, now=NOW, keep=0, report=reports.append)

        assert labels.storage.exists(labels.name)
        assert self.uploads_in(backup) == []
        assert not any("check_data" in words for words in reports)
        # They are no stray photos.
        assert stray_photos(NOW + timedelta(days=365 * 9)) == []
        labels.storage.delete(labels.name)
        job = print_job(LabelPrint.objects.get())
        assert find_file(job, now=NOW).startswith(b"%PDF")

    def test_are_never_written_over(self, logged, media, folder, empty_database):
        photo = pathlib.Path(self.keep((800, 600)).file.path)
        backup = make_backup(connection, folder, now=NOW, keep=0, report=lambda words: None)
        photo.write_bytes(b"another")

        assert why_refused(empty_database, backup) == "media_not_empty"
        assert photo.read_bytes() == b"another"
        assert list_tables(empty_database) == []


class TestRefusals:
    def test_a_database_that_holds_anything(self, backup):
        before = Fish.objects.count()

        assert why_command_refused(backup) == "not_empty"
        assert Fish.objects.count() == before

    def test_a_file_that_is_not_there(self, transactional_db, tmp_path):
        assert why_command_refused(tmp_path / "none.zip") == "no_file"

    @pytest.mark.parametrize(
        ("facts", "code"),
        [
            pytest.param({"migrations": ["samples.0999_later"]}, "newer_version", id="newer"),
            pytest.param({"engine": "oracle"}, "other_database", id="another database"),
        ],
    )
    def test_a_backup_that_does_not_fit(self, backup, empty_database, facts, code):
        rewrite_manifest(backup, **facts)

        assert why_refused(empty_database, backup) == code
        assert list_tables(empty_database) == []

    def test_rows_that_did_not_come_back(self, backup, empty_database, monkeypatch):
        """Were a program to leave rows out and say nothing, the counts would tell."""
        from_text = Manifest.from_text

        def with_a_fish_more(text):
            manifest = from_text(text)
            manifest.counts["samples_fish"] += 1
            return manifest

        monkeypatch.setattr("samples.maintenance.sqlite.check_dump", lambda *_: None)
        monkeypatch.setattr(Manifest, "from_text", with_a_fish_more)

        assert why_refused(empty_database, backup) == "rows_differ"
