"""Photos of fish: read with limits, written anew, kept beside the fish that is on record."""

import hashlib
import io
import struct
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models.fields.files import FieldFile
from PIL import ExifTags, Image, UnidentifiedImageError

from samples.models import Fish, Phone, Photo, User

# A phone sends 300 kB at most, and 1600 px at most; others have room to be a little clumsier.
MOST_BYTES = 2 * 1024 * 1024
MOST_PIXELS = 20_000_000
LONGEST_SIDE_PX = 1_600
QUALITY = 85
FORMATS = ("JPEG", "PNG", "WEBP")
# What makes a picture upright, by its Exif orientation. Source: CIPA DC-008 (Exif 2.32), tag 274.
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


@dataclass(frozen=True, slots=True)
class CannotKeepPhoto(Exception):
    """Why a photo is not kept, in a sentence fit to show; its fish is, whatever comes of it."""

    code: str
    sentence: str

    def __str__(self) -> str:
        return self.sentence


def keep_photo(
    fish: Fish, data: bytes, *, sha256: str, author: User, phone: Phone | None, now: datetime
) -> bool:
    """Keep a photo of a fish, in place of an earlier one; return False where it was kept before.

    :raises CannotKeepPhoto: if it is none, or too large, or was changed on its way
    """
    if len(data) > MOST_BYTES:
        raise CannotKeepPhoto("too_large", "The photo is larger than 2 MB. The fish is kept.")
    if hashlib.sha256(data).hexdigest() != sha256:
        raise CannotKeepPhoto("damaged", "The photo arrived damaged. Send it again.")
    if Photo.objects.filter(fish=fish, sent_sha256=sha256).exists():
        return False
    clean, (width, height) = written_anew(data)
    with _file_of_transaction() as write, transaction.atomic():
        # Two sendings at once: the second waits here, and then finds what the first one kept.
        Fish.objects.select_for_update(of=("self",)).get(pk=fish.pk)
        before = Photo.objects.filter(fish=fish).first()
        if before is not None and before.sent_sha256 == sha256:
            return False
        photo = before or Photo(fish=fish)
        old_name, storage = photo.file.name, photo.file.storage
        photo.sent_sha256, photo.sha256 = sha256, hashlib.sha256(clean).hexdigest()
        photo.width_px, photo.height_px = width, height
        photo.sent_by, photo.phone, photo.received_at = author, phone, now
        write(photo, clean)
        photo.save()
        if old_name:
            # Robust: the row is committed by then, and the new file must stay with it.
            transaction.on_commit(lambda: storage.delete(old_name), robust=True)
    return True


@contextmanager
def _file_of_transaction() -> Iterator[Callable[[Photo, bytes], None]]:
    """Give what writes a photo's file; where its row is not committed, the file goes too."""
    written: list[FieldFile] = []

    def write(photo: Photo, data: bytes) -> None:
        photo.file.save("photo.jpg", ContentFile(data), save=False)
        written.append(photo.file)

    try:
        yield write
    except BaseException:
        for file in written:
            file.storage.delete(str(file.name))
        raise


def written_anew(data: bytes) -> tuple[bytes, tuple[int, int]]:
    """Return a picture as a JPEG of ours, upright and without anything else that was in its file.

    :raises CannotKeepPhoto: if it is no picture, a part of one, or too many pixels
    """
    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as sent:
            if sent.width * sent.height > MOST_PIXELS:
                raise CannotKeepPhoto("too_many_pixels", "The photo has too many pixels.")
            upright = _upright(sent).convert("RGB")
    except UnidentifiedImageError as problem:
        raise CannotKeepPhoto(
            "no_photo", "This file is not a JPEG, PNG or WebP photo."
        ) from problem
    except (Image.DecompressionBombError, EOFError, OSError, SyntaxError, ValueError) as problem:
        raise CannotKeepPhoto("broken_photo", "The photo file is incomplete.") from problem
    upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    # A new picture: what came with the old one, such as a comment, stays behind.
    clean = Image.new("RGB", upright.size)
    clean.paste(upright)
    out = io.BytesIO()
    clean.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue(), clean.size


def _upright(sent: Image.Image) -> Image.Image:
    """Turn a picture as its Exif says; nothing else of the Exif is read, whose fields may be odd.

    Where even the orientation can't be read, the picture stays as it lies.
    """
    try:
        turn = _TURNS.get(sent.getexif().get(ExifTags.Base.Orientation, 1))
    except (LookupError, OSError, SyntaxError, TypeError, ValueError, struct.error):
        turn = None
    return sent.transpose(turn) if turn is not None else sent
