"""Files of pictures read with limits and made anew, a band of rows at a time.

Only three readers are ever called, each by the file's own first bytes: what a file is named, or
what else the library could read, does not matter.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import BoundedSemaphore
from typing import Any

import pyvips

from samples.pictures.services.errors import CannotKeepPicture

MOST_BYTES = 50 * 1024 * 1024
MOST_PIXELS = 64_000_000
LEAST_SIDE_PX = 64
COPY_QUALITY = 92
TILE_QUALITY = 85
THUMBNAIL_PX = 512
TILE_PX = 512

# A damaged upload is told to whoever sent it, not to the administrator.
logging.getLogger("pyvips").setLevel(logging.CRITICAL)
# Nothing is read twice: what would be kept for that is memory of a web server.
pyvips.cache_set_max(0)
# One picture at a time in each process, however many are sent at once.
_one_at_a_time = BoundedSemaphore(1)

_JPEG = (b"\xff\xd8\xff",)
_PNG = (b"\x89PNG\r\n\x1a\n",)
_TIFF = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
_READABLE = ("uchar", "ushort")


def _read_jpeg(path: str) -> Any:
    return pyvips.Image.jpegload(path, access="sequential", fail_on="error", autorotate=True)


def _read_png(path: str) -> Any:
    return pyvips.Image.pngload(path, access="sequential", fail_on="error")


def _read_tiff(path: str) -> Any:
    return pyvips.Image.tiffload(path, access="sequential", fail_on="error", autorotate=True)


READERS: tuple[tuple[tuple[bytes, ...], Callable[[str], Any]], ...] = (
    (_JPEG, _read_jpeg),
    (_PNG, _read_png),
    (_TIFF, _read_tiff),
)


@dataclass(frozen=True, slots=True)
class MadePicture:
    """What is shown of a file: a copy and a small copy, JPEGs with nothing else in them."""

    copy: bytes
    width_px: int
    height_px: int
    thumbnail: bytes
    thumbnail_width_px: int
    thumbnail_height_px: int


def make_picture(path: Path) -> MadePicture:
    """Return the copies of a picture's file.

    :raises CannotKeepPicture: if it is no picture, a part of one, or too large
    """
    reader = _reader_for(path)
    with _one_at_a_time:
        try:
            image = _plain(_checked(reader(str(path))))
            copy: bytes = image.jpegsave_buffer(Q=COPY_QUALITY, keep="none")
            small = pyvips.Image.thumbnail_buffer(copy, THUMBNAIL_PX, size="down")
            thumbnail: bytes = small.jpegsave_buffer(Q=TILE_QUALITY, keep="none")
        except pyvips.Error as problem:
            raise CannotKeepPicture(
                "broken_picture",
                "The file is incomplete or damaged. Copy it from the camera again.",
            ) from problem
    return MadePicture(copy, image.width, image.height, thumbnail, small.width, small.height)


def write_tiles(copy: Path, tiles: Path) -> None:
    """Write the tiles of a copy into a ZIP: ``<its stem>_files/<level>/<column>_<row>.jpg``.

    Level 0 is one tile; the last level has every pixel.
    """
    image = pyvips.Image.jpegload(str(copy), access="sequential")
    image.dzsave(
        str(tiles),
        layout="dz",
        container="zip",
        depth="onetile",
        tile_size=TILE_PX,
        overlap=0,
        suffix=f".jpg[Q={TILE_QUALITY},keep=none]",
    )


def _reader_for(path: Path) -> Callable[[str], Any]:
    with path.open("rb") as file:
        head = file.read(8)
    for starts, reader in READERS:
        if head.startswith(starts):
            return reader
    raise CannotKeepPicture("wrong_type", "This file is not a JPEG, PNG or TIFF picture.")


def _checked(image: Any) -> Any:
    """Return the image if it may be read whole: so far only its head was."""
    if image.width * image.height > MOST_PIXELS:
        raise CannotKeepPicture(
            "too_many_pixels",
            f"The picture has {image.width * image.height / 1e6:,.0f} megapixels. The most is "
            f"{MOST_PIXELS / 1e6:.0f}. Save it smaller and upload it again.",
        )
    if min(image.width, image.height) < LEAST_SIDE_PX:
        raise CannotKeepPicture(
            "too_small",
            f"The picture is {image.width} x {image.height} pixels. "
            f"It needs at least {LEAST_SIDE_PX} on each side.",
        )
    if _pages(image) > 1:
        raise CannotKeepPicture(
            "several_pages",
            f"The TIFF has {_pages(image)} pages. Save the page to keep as a file of its own.",
        )
    if image.format not in _READABLE:
        raise CannotKeepPicture(
            "other_depth", "The picture is not 8 or 16 bits a color. Save it as an 8-bit TIFF."
        )
    return image


def _pages(image: Any) -> int:
    return int(image.get("n-pages")) if "n-pages" in image.get_fields() else 1


def _plain(image: Any) -> Any:
    """Return the image with three colors of 8 bits, as screens show them."""
    if image.hasalpha():
        image = image.flatten()
    return image.colourspace("srgb")
