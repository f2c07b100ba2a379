"""Files of cameras: made anew without what else is in them, refused where they are none."""

import io
import math
import zipfile
import zlib

import numpy as np
import pytest
from PIL import Image, ImageChops, ImageStat

from samples.pictures.services.errors import CannotKeepPicture
from samples.pictures.services.imaging import TILE_PX, make_picture, write_tiles
from tests.pictures.making import (
    as_file,
    jpeg,
    jpeg_with_metadata,
    png,
    png_with_metadata,
    rings,
    tiff,
    tiff_with_metadata,
)


@pytest.fixture
def made_of(tmp_path):
    def make(data):
        path = tmp_path / "sent"
        path.write_bytes(data)
        return make_picture(path)

    return make


def difference(one, other):
    """Return the mean difference of two pictures, of 255."""
    return max(ImageStat.Stat(ImageChops.difference(one, other)).mean)


def bomb():
    """Return a PNG of a few hundred bytes that says it is 60,000 pixels each way."""

    def chunk(kind, data):
        check = zlib.crc32(kind + data).to_bytes(4, "big")
        return len(data).to_bytes(4, "big") + kind + data + check

    side = (60_000).to_bytes(4, "big")
    head = chunk(b"IHDR", side + side + bytes([8, 2, 0, 0, 0]))
    body = chunk(b"IDAT", zlib.compress(bytes(200_000)))
    return b"\x89PNG\r\n\x1a\n" + head + body + chunk(b"IEND", b"")


def several_pages():
    page = rings((100, 100))
    return as_file(page, "TIFF", save_all=True, append_images=[page])


class TestCopies:
    @pytest.mark.parametrize("data", [jpeg(), png(), tiff(), tiff(compression="tiff_lzw")])
    def test_show_what_was_sent(self, made_of, data):
        made = made_of(data)
        copy = Image.open(io.BytesIO(made.copy))

        assert (copy.format, copy.size) == ("JPEG", (made.width_px, made.height_px))
        assert copy.size == (800, 600)
        assert difference(copy, rings()) < 4

    @pytest.mark.parametrize(
        "data", [jpeg_with_metadata(), png_with_metadata(), tiff_with_metadata()]
    )
    def test_hold_nothing_else_of_the_file(self, made_of, data):
        made = made_of(data)

        assert b"Owner of the camera" in data
        for kept in (made.copy, made.thumbnail):
            image = Image.open(io.BytesIO(kept))
            assert dict(image.getexif()) == {}
            assert {"exif", "comment", "icc_profile", "xmp"}.isdisjoint(image.info)
            assert b"Owner" not in kept
            assert b"bench" not in kept

    def test_stand_upright(self, made_of):
        made = made_of(jpeg_with_metadata())

        assert (made.width_px, made.height_px) == (600, 800)
        upright = rings().transpose(Image.Transpose.ROTATE_270)
        assert difference(Image.open(io.BytesIO(made.copy)), upright) < 4

    def test_keep_the_tones_of_16_bits(self, made_of):
        gray = np.asarray(rings().convert("L"))
        deep = Image.fromarray(gray.astype(np.uint16) * 257)

        copy = Image.open(io.BytesIO(made_of(as_file(deep, "TIFF")).copy))

        assert difference(copy.convert("L"), Image.fromarray(gray)) < 4

    def test_a_small_one_fits_a_list(self, made_of):
        made = made_of(jpeg((1600, 900)))

        size = Image.open(io.BytesIO(made.thumbnail)).size
        assert size == (made.thumbnail_width_px, made.thumbnail_height_px) == (512, 288)


class TestRefusals:
    @pytest.mark.parametrize(
        ("data", "code"),
        [
            (b"", "wrong_type"),
            (b"%PDF-1.7 not a picture", "wrong_type"),
            (as_file(rings((100, 100)), "GIF"), "wrong_type"),
            (as_file(rings((100, 100)), "WEBP"), "wrong_type"),
            (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "wrong_type"),
            (b"\xff\xd8\xff" + b"no more than a beginning", "broken_picture"),
            (jpeg()[:-4000], "broken_picture"),
            (png()[:-4000], "broken_picture"),
            (tiff()[:-4000], "broken_picture"),
            (bomb(), "too_many_pixels"),
            (jpeg((40, 40)), "too_small"),
            (several_pages(), "several_pages"),
            (as_file(Image.fromarray(np.ones((100, 100), np.float32)), "TIFF"), "other_depth"),
        ],
    )
    def test_say_what_is_wrong(self, made_of, data, code):
        with pytest.raises(CannotKeepPicture) as refused:
            made_of(data)

        assert refused.value.code == code
        assert refused.value.sentence.endswith(".")


class TestTiles:
    SIZE = (1300, 700)

    @pytest.fixture
    def tiles(self, tmp_path):
        (tmp_path / "copy.jpg").write_bytes(jpeg(self.SIZE))
        write_tiles(tmp_path / "copy.jpg", tmp_path / "tiles.zip")
        with zipfile.ZipFile(tmp_path / "tiles.zip") as file:
            yield file

    def test_the_last_level_puts_the_picture_together_again(self, tiles):
        levels = math.ceil(math.log2(max(self.SIZE) / TILE_PX)) + 1
        whole = Image.new("RGB", self.SIZE)
        for column in range(3):
            for row in range(2):
                with tiles.open(f"tiles_files/{levels - 1}/{column}_{row}.jpg") as tile:
                    whole.paste(Image.open(tile), (column * TILE_PX, row * TILE_PX))

        assert levels == 3
        assert difference(whole, Image.open(io.BytesIO(jpeg(self.SIZE)))) < 3

    def test_the_first_level_is_one_tile_of_the_whole(self, tiles):
        names = [name for name in tiles.namelist() if name.startswith("tiles_files/0/")]

        assert names == ["tiles_files/0/0_0.jpg"]
        with tiles.open(names[0]) as tile:
            assert Image.open(tile).size == (325, 175)
