"""The file of a backup: whatever happened to it is noticed before anything is restored from it."""

import io
import sqlite3
import zipfile
from typing import Any

import pytest

from samples.maintenance import sqlite
from samples.maintenance.archive import Archive, Manifest
from samples.maintenance.backup import check_backup
from samples.maintenance.errors import DamagedBackup
from tests.maintenance.files import rewrite_manifest, write_members

FACTS: dict[str, Any] = {
    "made_at": "2026-05-06T17:30:00+00:00",
    "version": "0.1.0",
    "engine": "sqlite",
    "server": "SQLite 3",
    "tool": "SQLite 3",
    "migrations": [],
    "counts": {"fish": 2},
}


@pytest.fixture
def database(tmp_path):
    path = tmp_path / "made.sqlite3"
    made = sqlite3.connect(path)
    made.executescript("CREATE TABLE fish (length); INSERT INTO fish VALUES (24000), (25400);")
    made.close()
    return path.read_bytes()


@pytest.fixture
def path(tmp_path, database):
    path = tmp_path / "earstone-2026-05-06T17-30-00Z.zip"
    with path.open("wb") as file, Archive(file) as archive:
        for name, data in ((sqlite.MEMBER, database), ("media/a.jpg", b"a fish" * 500)):
            with archive.member(name, compress=False) as out:
                out.write(data)
        archive.add_manifest(Manifest(**FACTS, members=archive.members))
    return path


def check(path):
    return check_backup(path, lambda words: None)


def why_damaged(path):
    """Return the code of what is wrong with a backup."""
    with pytest.raises(DamagedBackup) as refused:
        check(path)
    return refused.value.code


def members_of(path):
    with zipfile.ZipFile(path) as file:
        return {name: file.read(name) for name in file.namelist()}


def test_one_as_it_was_written_is_good(path):
    assert check(path).counts == {"fish": 2}


def test_one_that_was_cut_short(path):
    data = path.read_bytes()
    for length in (0, 100, len(data) // 2, len(data) - 1):
        path.write_bytes(data[:length])
        with pytest.raises(DamagedBackup):
            check(path)


def test_a_changed_byte_anywhere_in_the_files(path):
    data = path.read_bytes()
    for place in (data.index(b"SQLite format"), data.index(b"a fish"), data.index(b'"counts"')):
        path.write_bytes(data[:place] + b"\x00" + data[place + 1 :])
        with pytest.raises(DamagedBackup):
            check(path)


def test_a_file_in_the_place_of_another(path):
    """A ZIP's own checksum would hold: it was made anew with the file."""
    write_members(path, members_of(path) | {"media/a.jpg": b"a carp" * 500})

    assert why_damaged(path) == "checksum"


@pytest.mark.parametrize("name", ["../outside.txt", "/outside.txt", "media/../../outside.txt"])
def test_a_file_that_would_land_outside(path, name):
    members = members_of(path)
    members[name] = members.pop("media/a.jpg")
    write_members(path, members)
    manifest = Manifest.from_text(members["manifest.json"])
    noted = {one: {"size": m.size, "sha256": m.sha256} for one, m in manifest.members.items()}
    noted[name] = noted.pop("media/a.jpg")
    rewrite_manifest(path, members=noted)

    assert why_damaged(path) == "outside"


@pytest.mark.parametrize(
    ("change", "code"),
    [
        pytest.param({"format": 2}, "other_format", id="a later format"),
        pytest.param({"counts": {"fish": 3}}, "other_rows", id="other rows"),
        pytest.param({"members": {}}, "other_members", id="files nobody named"),
        pytest.param({"version": None, "made": 1}, "manifest_unreadable", id="other facts"),
    ],
)
def test_a_manifest_that_does_not_fit(path, change, code):
    rewrite_manifest(path, **change)

    assert why_damaged(path) == code


def test_a_zip_of_something_else(tmp_path):
    write_members(tmp_path / "other.zip", {"letter.txt": b"Dear reader"})

    assert why_damaged(tmp_path / "other.zip") == "no_manifest"


def test_a_database_that_does_not_hold_together(database):
    with pytest.raises(DamagedBackup) as refused:
        sqlite.check_dump(io.BytesIO(b"not a database" * 100), {"fish": 2})
    assert refused.value.code == "database_unreadable"
    # Its second page is that of the table; what a row points to is then nowhere.
    broken = database[:4096] + b"\x0d" + b"\xff" * (len(database) - 4097)
    with pytest.raises(DamagedBackup):
        sqlite.check_dump(io.BytesIO(broken), {"fish": 2})
