"""Photos of some fish, sent over the same bad link once their fish was acknowledged."""

import asyncio
import hashlib
import io
from pathlib import Path

from django.conf import settings
from PIL import Image

from samples.models import Photo
from tests.faults.server import HOST

# Every so many fish has one.
EVERY = 3
KEPT = {b"200", b"201"}


def draw(entry_id):
    """Return a small photo that is no other fish's."""
    digest = hashlib.sha256(entry_id.encode()).digest()
    out = io.BytesIO()
    Image.frombytes("L", (16, 16), digest * 8).convert("RGB").save(out, "JPEG")
    return out.getvalue()


class Photos:
    """The photos of one phone: those that wait, and those that it believes kept."""

    def __init__(self, token, number, proxy_port, patience):
        self._token, self._number = token, number
        self._proxy_port, self._patience = proxy_port, patience
        self._seen = self._tries = 0
        self.waiting = []
        self.kept = []

    def take(self, entry_id):
        """Take a photo of a fish that was acknowledged, if it is its turn."""
        self._seen += 1
        if self._seen % EVERY == 0:
            self.waiting.append(entry_id)

    async def send(self):
        """Send the first that waits; return whether the site said that it is kept."""
        entry_id = self.waiting[0]
        try:
            answer = await asyncio.wait_for(self._put(entry_id, draw(entry_id)), self._patience)
        except (OSError, TimeoutError):
            return False
        head, _, body = answer.partition(b"\r\n\r\n")
        # A portal answers 200 too, with a page of its own: our answer has no body.
        if head[9:12] not in KEPT or body:
            return False
        self.kept.append(self.waiting.pop(0))
        return True

    async def _put(self, entry_id, data):
        self._tries += 1
        sha256 = hashlib.sha256(data).hexdigest()
        head = (
            f"PUT /api/v1/fish/{entry_id}/photo/{sha256}/ HTTP/1.1\r\n"
            f"Host: {HOST}\r\nAuthorization: Token {self._token}\r\n"
            f"X-Phone: photos of {self._number}\r\nX-Try: {self._tries}\r\n"
            "Content-Type: image/jpeg\r\nConnection: close\r\n"
            f"Content-Length: {len(data)}\r\n\r\n"
        )
        reader, writer = await asyncio.open_connection(HOST, self._proxy_port, limit=2**22)
        try:
            writer.write(head.encode() + data)
            await writer.drain()
            return await reader.read(-1)
        finally:
            writer.close()


def find_photo_faults(phones):
    """Yield photos that a phone believes kept and that are not, or are not whole, or are others."""
    rows = {str(photo.fish.entry_id): photo for photo in Photo.objects.select_related("fish")}
    for phone in phones:
        for entry_id in phone.photos.waiting:
            yield f"the photo of {entry_id} still waits"
        for entry_id in phone.photos.kept:
            photo = rows.get(entry_id)
            if photo is None:
                yield f"the photo of {entry_id} is lost"
            elif photo.sent_sha256 != hashlib.sha256(draw(entry_id)).hexdigest():
                yield f"{entry_id} has another fish's photo"
            elif not _is_whole(photo):
                yield f"the file of the photo of {entry_id} is not as it was kept"


def _is_whole(photo):
    file = Path(settings.MEDIA_ROOT, photo.file.name)
    return file.is_file() and hashlib.sha256(file.read_bytes()).hexdigest() == photo.sha256
