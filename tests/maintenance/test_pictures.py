"""Pictures of otoliths among what is checked and backed up."""

import os
import pathlib
import zipfile
from datetime import timedelta

import pytest
from django.core.files.storage import FileSystemStorage
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from samples.maintenance.archive import MEDIA
from samples.maintenance.backup import make_backup
from samples.maintenance.check import check_data
from samples.models import Picture
from samples.pictures.services import delete_picture, draw_tiles
from tests.people import NOW, make_vials
from tests.pictures.making import keep_of_vial

LONG_AGO = (NOW - timedelta(days=9)).timestamp()


@pytest.fixture
def media(settings, tmp_path, monkeypatch):
    files = {"BACKEND": "django.core.files.storage.FileSystemStorage"}
    settings.STORAGES = settings.STORAGES | {"default": files}
    settings.MEDIA_ROOT = str(tmp_path / "media")
    # A field looks its storage up once, when it is made.
    monkeypatch.setattr(Picture._meta.get_field("tiles"), "storage", FileSystemStorage())
    return tmp_path / "media"


@pytest.fixture
def picture(media, vials, reader, tmp_path):
    """One picture with everything that is drawn of it."""
    kept = keep_of_vial(tmp_path, vials[0], reader)
    draw_tiles(kept)
    return kept


def found():
    return {one.code: one.where for one in check_data(now=timezone.now())}


def age(path):
    os.utime(path, (LONG_AGO, LONG_AGO))


class TestCheck:
    def test_finds_nothing_wrong_with_a_picture_as_it_is_kept(self, picture, media):
        for path in media.rglob("*.*"):
            age(path)

        assert not {code for code in found() if "picture" in code}

    @pytest.mark.parametrize("name", ["original", "file", "thumbnail"])
    def test_finds_a_file_that_is_gone_or_another(self, picture, name):
        path = pathlib.Path(getattr(picture, name).path)
        path.write_bytes(b"another")
        assert found()["picture_changed"] == (str(picture.pk),)

        path.unlink()
        assert found()["picture_without_file"] == (str(picture.pk),)

    def test_lost_tiles_are_no_loss(self, picture):
        pathlib.Path(picture.tiles.path).unlink()

        assert not {code for code in found() if "picture" in code}

    def test_finds_and_deletes_files_that_no_picture_names(self, picture, media):
        strays = [media / "pictures" / "stray.jpg", media / "tiles" / "stray.zip"]
        for path in strays:
            path.write_bytes(b"of no picture")
            age(path)
        (media / "tiles" / "young.zip").write_bytes(b"being written")

        assert found()["file_without_picture"] == ("pictures/stray.jpg", "tiles/stray.zip")
        call_command("check_data", "--delete-stray-pictures")
        assert [path.exists() for path in strays] == [False, False]
        assert (media / "tiles" / "young.zip").exists()

    def test_finds_a_picture_at_another_lake_than_its_vial(self, picture, other_lake, office):
        (elsewhere,) = make_vials(other_lake.seasons.get(), first=900, count=1, by=office)
        Picture.objects.filter(pk=picture.pk).update(vial=elsewhere)

        assert found()["picture_of_other_lake"] == (str(picture.pk),)


def test_a_backup_holds_the_original_and_both_copies_and_no_tiles(
    logged, media, vials, reader, tmp_path
):
    picture = keep_of_vial(tmp_path, vials[0], reader)
    draw_tiles(picture)

    backup = make_backup(
        connection, tmp_path / "backups", now=NOW, keep=0, report=lambda words: None
    )

    kept = {str(one.name) for one in (picture.original, picture.file, picture.thumbnail)}
    with zipfile.ZipFile(backup) as file:
        uploads = {name for name in file.namelist() if name.startswith(MEDIA)}
    assert uploads == {MEDIA + name for name in kept}
    assert (media / str(picture.tiles.name)).exists()


def test_a_file_that_cannot_be_deleted_keeps_no_other_of_its_picture(
    picture, monkeypatch, django_capture_on_commit_callbacks
):
    stuck = picture.original.name
    delete = FileSystemStorage.delete

    def fail(storage, name):
        if name == stuck:
            raise PermissionError(name)
        delete(storage, name)

    monkeypatch.setattr(FileSystemStorage, "delete", fail)
    Picture.objects.update(vial=None, confirmed_by=None, confirmed_at=None)
    files = [picture.original, picture.file, picture.thumbnail, picture.tiles]
    with django_capture_on_commit_callbacks(execute=True):
        delete_picture(picture=picture)

    assert not Picture.objects.exists()
    assert [file.name for file in files if file.storage.exists(file.name)] == [stuck]


def test_old_tiles_that_cannot_be_deleted_take_no_new_ones_with_them(
    picture, monkeypatch, django_capture_on_commit_callbacks
):
    def fail(storage, name):
        raise PermissionError(name)

    old = picture.tiles.name
    monkeypatch.setattr(FileSystemStorage, "delete", fail)
    with django_capture_on_commit_callbacks(execute=True):
        draw_tiles(picture)

    picture.refresh_from_db()
    assert picture.tiles.name != old
    assert picture.tiles.storage.exists(picture.tiles.name)
