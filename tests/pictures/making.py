"""Files of pictures as cameras make them, drawn by another library than the one that reads them."""

import hashlib
import io
import zipfile

import numpy as np
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from samples.models import Objective, Picture
from samples.pictures.services import keep_picture
from tests.people import NOW

GPS = 0x8825


def rings(size=(800, 600), shift=0):
    """Draw pale rings on slate; another shift makes another picture."""
    width, height = size
    across, down = np.meshgrid(np.arange(width), np.arange(height))
    away = np.hypot(across - width / 2, (down - height / 2) * 1.4)
    bright = np.where(away < width * 0.4, 130 + 70 * np.sin(away / 9 + shift), 20)
    colors = np.stack([bright, bright * 0.95, bright * 0.85], axis=-1)
    return Image.fromarray(colors.astype(np.uint8), "RGB")


def as_file(image, kind="JPEG", **more):
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def jpeg(size=(800, 600), shift=0, **more):
    return as_file(rings(size, shift), "JPEG", quality=88, **more)


def tiff(size=(800, 600), **more):
    return as_file(rings(size), "TIFF", **more)


def png(size=(800, 600), **more):
    return as_file(rings(size), "PNG", **more)


def jpeg_with_metadata():
    """Return a JPEG with a place, an owner and a comment, on its side."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x013B] = "Owner of the camera"
    exif.get_ifd(GPS).update({1: "N", 2: (43.0, 30.0, 12.0), 3: "W", 4: (96.0, 1.0, 2.0)})
    return jpeg(exif=exif, comment=b"bench of the lab")


def png_with_metadata():
    words = PngInfo()
    words.add_text("Author", "Owner of the camera")
    return png(pnginfo=words)


def tiff_with_metadata():
    return tiff(tiffinfo={315: "Owner of the camera", 270: "bench of the lab"})


def upload_of(name, data):
    return SimpleUploadedFile(name, data, "application/octet-stream")


def keep(tmp_path, lake, author, *, name="a.jpg", data=None, now=NOW, **more):
    """Keep a picture as uploading does, and return it."""
    path = tmp_path / "sent"
    path.write_bytes(data or jpeg())
    return keep_picture(path, name=name, lake=lake, author=author, now=now, **more).picture


def keep_of_vial(tmp_path, vial, author, **more):
    """Keep a picture that belongs to a vial."""
    picture = keep(tmp_path, vial.lake, author, name=f"{vial.number}.jpg", **more)
    Picture.objects.filter(pk=picture.pk).update(vial=vial, confirmed_by=author, confirmed_at=NOW)
    picture.refresh_from_db()
    return picture


def address(name, lake, *names):
    return reverse(f"pictures:{name}", args=[lake.slug, *names])


def make_pictures(vial, author):
    """Make rows of one picture, and of one of a stage micrometer, with files that can be shown."""
    objective = Objective.objects.create(
        lake=vial.lake, name="Stereo 20x", added_by=author, added_at=NOW
    )
    of_otolith = {"vial": vial, "confirmed_by": author, "confirmed_at": NOW}
    return {
        "picture": _make(vial.lake, author, objective, **of_otolith),
        "micrometer": _make(vial.lake, author, objective, kind=Picture.Kind.MICROMETER),
    }


def _make(lake, author, objective, **more):
    data = jpeg((120, 90))
    tiles = io.BytesIO()
    with zipfile.ZipFile(tiles, "w") as file:
        file.writestr("tiles_files/0/0_0.jpg", data)
    sha256 = hashlib.sha256(data).hexdigest()
    kind = more.get("kind", Picture.Kind.OTOLITH)
    return Picture.objects.create(
        lake=lake,
        objective=objective,
        original=ContentFile(data, "a"),
        original_name=f"{kind}.jpg",
        original_sha256=hashlib.sha256(kind.encode()).hexdigest(),
        original_bytes=len(data),
        file=ContentFile(data, "a"),
        sha256=sha256,
        width_px=120,
        height_px=90,
        thumbnail=ContentFile(data, "a"),
        thumbnail_sha256=sha256,
        thumbnail_width_px=120,
        thumbnail_height_px=90,
        tiles=ContentFile(tiles.getvalue(), "a"),
        uploaded_by=author,
        uploaded_at=NOW,
        **more,
    )
