"""What is done with pictures: each in one transaction, and safe to repeat."""

from samples.pictures.services.errors import CannotChangePicture, CannotKeepPicture
from samples.pictures.services.filing import delete_picture, file_picture
from samples.pictures.services.imaging import MOST_BYTES, TILE_PX
from samples.pictures.services.scales import new_objective, set_scale
from samples.pictures.services.tiles import draw_tiles, has_tiles, read_tile
from samples.pictures.services.upload import KeptPicture, keep_picture

__all__ = [
    "MOST_BYTES",
    "TILE_PX",
    "CannotChangePicture",
    "CannotKeepPicture",
    "KeptPicture",
    "delete_picture",
    "draw_tiles",
    "file_picture",
    "has_tiles",
    "keep_picture",
    "new_objective",
    "read_tile",
    "set_scale",
]
