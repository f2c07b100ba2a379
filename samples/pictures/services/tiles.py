"""Tiles of a picture: one ZIP, drawn from its copy, and drawn again where it is lost."""

import re
import shutil
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from django.core.files.base import File
from django.db import transaction

from samples.models import Picture
from samples.pictures.services.imaging import write_tiles

_STEM = "tiles"
TILE = re.compile(r"[0-9]{1,2}/[0-9]{1,3}_[0-9]{1,3}")


def has_tiles(picture: Picture) -> bool:
    """Return whether the tiles are there, not only noted."""
    return bool(picture.tiles) and picture.tiles.storage.exists(str(picture.tiles.name))


def draw_tiles(picture: Picture) -> None:
    """Draw and keep the tiles of a picture, in place of earlier ones."""
    with TemporaryDirectory(prefix="earstone-tiles-") as folder, _local(picture, folder) as copy:
        drawn = Path(folder) / f"{_STEM}.zip"
        write_tiles(copy, drawn)
        _keep(picture, drawn)


def read_tile(picture: Picture, name: str) -> bytes | None:
    """Return one tile by its level, column and row, such as "3/0_2"; nothing if there is none."""
    if not TILE.fullmatch(name) or not picture.tiles:
        return None
    try:
        with picture.tiles.open("rb") as file, zipfile.ZipFile(file) as tiles:
            return tiles.read(f"{_STEM}_files/{name}.jpg")
    except (FileNotFoundError, KeyError, zipfile.BadZipFile):
        return None


def _keep(picture: Picture, drawn: Path) -> None:
    with transaction.atomic():
        # Two workers at once: the second waits, and takes the first one's away.
        row = Picture.objects.select_for_update(of=("self",)).get(pk=picture.pk)
        old_name, storage = row.tiles.name, row.tiles.storage
        with drawn.open("rb") as file:
            row.tiles.save("tiles.zip", File(file), save=False)
        # Past the history: tiles are no fact about a picture.
        Picture.objects.filter(pk=row.pk).update(tiles=row.tiles.name)
        if old_name:
            # Robust: the new tiles are noted by then.
            transaction.on_commit(lambda: storage.delete(old_name), robust=True)
    picture.tiles = row.tiles.name


@contextmanager
def _local(picture: Picture, folder: str) -> Iterator[Path]:
    """Yield the copy as a file of this machine, wherever it is kept."""
    copy = Path(folder) / "copy.jpg"
    with picture.file.open("rb") as source, copy.open("wb") as out:
        shutil.copyfileobj(source, out, 1 << 20)
    yield copy
