"""Pictures kept in a bucket that speaks S3 instead of a folder."""

import hashlib
import io
import zipfile

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.files.storage import storages
from django.db import connection
from django.utils import timezone

from fisheries import checks, files, probes
from samples.maintenance import backup, restore
from samples.maintenance.archive import MEDIA, Archive
from samples.maintenance.check import check_data
from samples.maintenance.errors import CannotRestore
from samples.maintenance.tables import list_uploads
from samples.models import Picture
from samples.pictures.services import delete_picture, draw_tiles, read_tile
from tests.people import NOW
from tests.pictures.bucket import BUCKET, bucket_server
from tests.pictures.making import address, jpeg, keep_of_vial

# With one tile more than the whole.
SIZE = (700, 500)
KEYS = {"ACCESS_KEY": "key", "SECRET_KEY": "not a secret", "REGION": "us-east-1"}


@pytest.fixture(scope="module")
def served():
    with bucket_server() as server:
        yield server


@pytest.fixture
def bucket(served, settings, monkeypatch):
    served.objects.clear()
    served.parts.clear()
    endpoint = f"http://127.0.0.1:{served.server_port}"
    more = {**KEYS, "ENDPOINT": endpoint, "PREFIX": "lakes/"}
    settings.STORAGES = settings.STORAGES | files.storages_for(BUCKET, more)
    # A field looks its storage up once, when it is made.
    monkeypatch.setattr(Picture._meta.get_field("tiles"), "storage", storages["tiles"])
    return served


@pytest.fixture
def picture(bucket, vials, reader, tmp_path):
    return keep_of_vial(tmp_path, vials[0], reader, data=jpeg(SIZE))


def body_of(response):
    return b"".join(response.streaming_content) if response.streaming else response.content


def test_pages_send_what_is_in_the_bucket_and_the_original_byte_for_byte(
    picture, bucket, client, reader
):
    client.force_login(reader)
    original = client.get(address("original", picture.lake, picture.pk))
    copy = client.get(address("copy", picture.lake, picture.pk))

    sent = body_of(original)
    assert sent == jpeg(SIZE) == bucket.objects[f"lakes/{picture.original.name}"]
    assert int(original["Content-Length"]) == picture.original_bytes == len(sent)
    assert hashlib.sha256(body_of(copy)).hexdigest() == picture.sha256
    assert "private" in copy["Cache-Control"]
    # What is kept says nothing of where it came from, and no page leads there.
    assert {key.split("/")[0] for key in bucket.objects} == {"lakes"}
    page = client.get(address("picture", picture.lake, picture.pk))
    assert str(bucket.server_port) not in page.content.decode()
    with pytest.raises(NotImplementedError):
        picture.original.storage.url(picture.original.name)


def test_a_tile_is_read_without_fetching_the_others(picture, bucket):
    draw_tiles(picture)
    padded = bucket.objects[f"lakes/{picture.tiles.name}"]
    # As long as the tiles of a large picture: a ZIP may have anything before it.
    bucket.objects[f"lakes/{picture.tiles.name}"] = bytes(3_000_000) + padded
    bucket.parts.clear()

    tile = read_tile(picture, "1/1_0")

    assert tile is not None
    assert tile.startswith(b"\xff\xd8\xff")
    assert sum(bucket.parts) < 1_500_000
    assert read_tile(picture, "9/0_0") is None


def test_no_bucket_means_no_answer_but_no_loss(picture, client, reader, settings, monkeypatch):
    storage = picture.original.storage._wrapped
    gone = files.storages_for(BUCKET, {**KEYS, "ENDPOINT": "http://127.0.0.1:9", "PREFIX": ""})
    settings.STORAGES = settings.STORAGES | gone
    client.raise_request_exception = False
    client.force_login(reader)

    assert client.get(address("copy", picture.lake, picture.pk)).status_code == 503
    with pytest.raises(probes.CheckFailed):
        probes.check_files()
    # What cannot be asked is not told to be missing.
    with pytest.raises(files.FilesUnreachable):
        list(check_data(now=timezone.now()))
    assert storage.exists(picture.original.name)


def test_check_data_finds_lost_changed_and_stray_files(picture, bucket):
    def found():
        codes = {one.code: one.where for one in check_data(now=timezone.now())}
        return {code: where for code, where in codes.items() if "picture" in code}

    assert found() == {}
    bucket.objects["lakes/pictures/aa/stray.jpg"] = b"of no picture"
    bucket.objects[f"lakes/{picture.file.name}"] = b"another"
    assert found() == {
        "picture_changed": (str(picture.pk),),
        "file_without_picture": ("pictures/aa/stray.jpg",),
    }
    del bucket.objects[f"lakes/{picture.file.name}"]
    assert found()["picture_without_file"] == (str(picture.pk),)


def test_a_backup_holds_what_is_in_the_bucket_and_fills_an_empty_one(picture, bucket):
    names = {str(one.name) for one in (picture.original, picture.file, picture.thumbnail)}
    before = {key: data for key, data in bucket.objects.items() if "/tiles/" not in key}
    file = io.BytesIO()
    with Archive(file) as archive:
        backup._write_media(connection, archive, list_uploads(connection), print)
        manifest = backup._manifest_of(connection, archive, {}, NOW)
    assert set(manifest.members) == {MEDIA + name for name in names}

    with pytest.raises(CannotRestore) as refused:
        restore._refuse_unless_it_fits(connection, manifest)
    assert refused.value.code == "media_not_empty"
    bucket.objects.clear()
    restore._refuse_unless_it_fits(connection, manifest)
    with zipfile.ZipFile(file) as kept:
        restore._write_media(kept, manifest, print)

    assert bucket.objects == before


def test_a_deleted_picture_leaves_nothing_in_the_bucket(
    picture, bucket, django_capture_on_commit_callbacks
):
    draw_tiles(picture)
    Picture.objects.update(vial=None, confirmed_by=None, confirmed_at=None)
    with django_capture_on_commit_callbacks(execute=True):
        delete_picture(picture=picture)

    assert bucket.objects == {}


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"ENDPOINT": "s3.example.org"}, "EARSTONE_S3_ENDPOINT"),
        ({"SECRET_KEY": ""}, "EARSTONE_S3_SECRET_KEY"),
    ],
)
def test_settings_that_cannot_work_are_named(changes, named):
    options = {**KEYS, "ENDPOINT": "https://s3.example.org", "PREFIX": ""}

    with pytest.raises(ImproperlyConfigured, match=named):
        files.storages_for(BUCKET, options | changes)


def test_a_bucket_without_the_packages_for_it_is_named(monkeypatch):
    monkeypatch.setattr(files, "find_spec", lambda name: None)

    with pytest.raises(ImproperlyConfigured, match=r"requirements-s3\.txt"):
        files.storages_for(BUCKET, {**KEYS, "ENDPOINT": "", "PREFIX": ""})


def test_keys_without_a_bucket_are_warned_of(monkeypatch):
    monkeypatch.delenv("EARSTONE_S3_BUCKET", raising=False)
    monkeypatch.setenv("EARSTONE_S3_ENDPOINT", "https://s3.example.org")

    assert [one.id for one in checks.check_bucket()] == ["earstone.W003"]
