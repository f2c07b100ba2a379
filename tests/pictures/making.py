"""Files of pictures as cameras make them, drawn by another library than the one that reads them."""

import io

import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from samples.models import Picture
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
