"""The file of a backup: a ZIP of the database, uploads, and a manifest of what is in it.

The manifest names every other member with its size and SHA-256, so that a file that was cut
short or changed on its way is noticed before anything is brought back from it.
"""

import hashlib
import json
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path, PurePosixPath
from typing import IO, Protocol, Self

from samples.maintenance.errors import DamagedBackup

FORMAT = 1
MANIFEST = "manifest.json"
MEDIA = "media/"
CHUNK = 1 << 20

Report = Callable[[str], None]


class Writable(Protocol):
    """Whatever takes bytes one after another."""

    def write(self, data: bytes, /) -> int: ...


@dataclass(frozen=True, slots=True)
class Member:
    """One file inside the backup."""

    size: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a backup is of.

    Attributes
    ----------
    made_at : str
        When, in ISO 8601, UTC.
    version : str
        The program's.
    engine : str
        ``postgresql`` or ``sqlite``.
    server, tool : str
        Versions of the database and of the program that dumped it.
    migrations : list of str
        Those applied, as ``app.name``.
    counts : dict
        Rows by table.
    members : dict
        Every other file in the backup.
    """

    made_at: str
    version: str
    engine: str
    server: str
    tool: str
    migrations: list[str]
    counts: dict[str, int]
    members: dict[str, Member]

    def as_text(self) -> str:
        return json.dumps({"format": FORMAT, **asdict(self)}, indent=1, sort_keys=True) + "\n"

    @classmethod
    def from_text(cls, text: bytes) -> "Manifest":
        """Read a manifest.

        :raises DamagedBackup: if it is none, or of a later kind than this program knows
        """
        try:
            facts = json.loads(text)
            kind = facts.pop("format")
            members = {name: Member(**one) for name, one in facts.pop("members").items()}
            manifest = cls(**facts, members=members) if kind == FORMAT else None
        except (AttributeError, KeyError, TypeError, ValueError) as problem:
            raise DamagedBackup("manifest_unreadable", "Its manifest can't be read.") from problem
        if manifest is None:
            raise DamagedBackup(
                "other_format",
                f"It is a backup of format {kind}; this version of Earstone reads format {FORMAT}.",
            )
        return manifest


class Hashing:
    """Passes bytes on, and keeps their count and SHA-256."""

    def __init__(self, out: Writable) -> None:
        self._out = out
        self._digest = hashlib.sha256()
        self.size = 0

    def write(self, data: bytes, /) -> int:
        self._out.write(data)
        self._digest.update(data)
        self.size += len(data)
        return len(data)

    def as_member(self) -> Member:
        return Member(self.size, self._digest.hexdigest())


class Archive:
    """A backup while it is written; without a manifest it is none."""

    def __init__(self, file: IO[bytes]) -> None:
        self._zip = zipfile.ZipFile(file, "w")
        self.members: dict[str, Member] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *problem: object) -> None:
        self._zip.close()

    @contextmanager
    def member(self, name: str, *, compress: bool) -> Iterator[Hashing]:
        """Open a member to write to; what came through is noted for the manifest."""
        entry = zipfile.ZipInfo(name)
        entry.compress_type = zipfile.ZIP_DEFLATED if compress else zipfile.ZIP_STORED
        entry.external_attr = 0o600 << 16
        # Its size is not known beforehand, and may pass what a plain ZIP can hold.
        with self._zip.open(entry, "w", force_zip64=True) as out:
            hashing = Hashing(out)
            yield hashing
        self.members[name] = hashing.as_member()

    def add_manifest(self, manifest: Manifest) -> None:
        self._zip.writestr(zipfile.ZipInfo(MANIFEST), manifest.as_text())


@contextmanager
def opened(path: Path) -> Iterator[zipfile.ZipFile]:
    """Open a backup to read.

    :raises DamagedBackup: if it is no ZIP, or its bytes do not hold together
    """
    try:
        with zipfile.ZipFile(path) as backup:
            yield backup
    except (zipfile.BadZipFile, EOFError, NotImplementedError) as problem:
        raise DamagedBackup(
            "not_a_backup", "The file is incomplete, changed, or not an Earstone backup."
        ) from problem


def read_manifest(backup: zipfile.ZipFile) -> Manifest:
    """Read what a backup is of.

    :raises DamagedBackup: if it has no manifest, or holds other files than that names
    """
    try:
        manifest = Manifest.from_text(backup.read(MANIFEST))
    except KeyError as problem:
        raise DamagedBackup(
            "no_manifest", "The file has no manifest, so it is not an Earstone backup."
        ) from problem
    names = backup.namelist()
    if sorted(names) != sorted([MANIFEST, *manifest.members]):
        raise DamagedBackup("other_members", "Files named in its manifest are missing.")
    unsafe = [name for name in names if not _stays_inside(name)]
    if unsafe:
        raise DamagedBackup("outside", f"It names a file outside of itself: {unsafe[0]}.")
    return manifest


def _stays_inside(name: str) -> bool:
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts and "\\" not in name


def check_members(backup: zipfile.ZipFile, manifest: Manifest, report: Report) -> None:
    """Read every member and hold it against its checksum.

    :raises DamagedBackup: naming the first that differs
    """
    for name, noted in manifest.members.items():
        report(f"Checking {name} ...")
        hashing = Hashing(_Nowhere())
        with backup.open(name) as member:
            copy(member, hashing)
        if hashing.as_member() != noted:
            raise DamagedBackup("checksum", f"{name} in it is damaged: its checksum differs.")


class _Nowhere:
    def write(self, data: bytes, /) -> int:
        return len(data)


def copy(source: IO[bytes], out: Writable) -> None:
    """Copy in pieces, so that a large file never stands in memory whole."""
    while data := source.read(CHUNK):
        out.write(data)
