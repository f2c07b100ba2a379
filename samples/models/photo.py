"""Photos of fish, as they are kept: written anew by us, with nothing in them but the picture."""

from uuid import uuid4

from django.db import models

from samples.models.fish import Fish
from samples.models.user import Phone, User

PHOTOS_FOLDER = "photos"


def place_of_photo(photo: "Photo", filename: str) -> str:
    """Return where a photo is kept: its name says nothing, and is never one that was sent."""
    del photo, filename
    name = uuid4().hex
    return f"{PHOTOS_FOLDER}/{name[:2]}/{name}.jpg"


class Photo(models.Model):
    """The photo of one fish. ``sent_sha256`` is of what the phone sent, ``sha256`` of the file."""

    fish = models.OneToOneField(Fish, on_delete=models.PROTECT, related_name="photo")
    sent_sha256 = models.CharField(max_length=64, editable=False)
    file = models.FileField(upload_to=place_of_photo, max_length=100)
    sha256 = models.CharField(max_length=64, editable=False)
    width_px = models.PositiveSmallIntegerField()
    height_px = models.PositiveSmallIntegerField()
    sent_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    phone = models.ForeignKey(
        Phone, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField(help_text="By the server's clock.")

    def __str__(self) -> str:
        return f"photo of fish {self.fish_id}"
