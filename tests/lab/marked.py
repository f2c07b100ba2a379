"""A picture of an otolith whose rings are known, drawn by plain arithmetic."""

import io
import zipfile

import numpy as np
from django.core.files.base import ContentFile
from PIL import Image

from samples.models import PictureScale
from tests.people import NOW
from tests.pictures.making import make_pictures

SIZE = (500, 300)
UM_PER_PX = 2.5
CORE, EDGE = (60.0, 150.0), (460.0, 150.0)
# Rings in pixels from the core: 400, 650, 800 and 900 micrometers.
RINGS_PX = (160.0, 260.0, 320.0, 360.0)


def otolith():
    """Return a JPEG of dark rings about a core, with an edge beyond which it is dark."""
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]].astype(float)
    away = np.hypot(x - CORE[0], y - CORE[1])
    light = 190 - sum(70 * np.exp(-(((away - one) / 5) ** 2)) for one in RINGS_PX)
    light = np.where(away > 400, 15, light) + np.random.default_rng(4).normal(0, 2, away.shape)
    out = io.BytesIO()
    image = Image.fromarray(np.clip(light, 0, 255).astype(np.uint8), "L").convert("RGB")
    image.save(out, "JPEG", quality=92)
    return out.getvalue()


def make_picture(vial, author):
    """Make the picture a vial's, with a scale and with its one tile."""
    rows = make_pictures(vial, author)
    picture, micrometer = rows["picture"], rows["micrometer"]
    picture.scale = PictureScale.objects.create(
        objective=picture.objective, micrometer=micrometer, x1_px=0, y1_px=0, x2_px=400, y2_px=0,
        distance_um=1_000, um_per_px=UM_PER_PX, set_by=author, set_at=NOW,
    )  # fmt: skip
    data, tiles = otolith(), io.BytesIO()
    with zipfile.ZipFile(tiles, "w") as file:
        file.writestr("tiles_files/0/0_0.jpg", data)
    picture.file, picture.thumbnail = ContentFile(data, "a"), ContentFile(data, "a")
    picture.tiles = ContentFile(tiles.getvalue(), "a")
    picture.width_px, picture.height_px = SIZE
    picture.thumbnail_width_px, picture.thumbnail_height_px = SIZE
    picture.save()
    return picture
