"""A donor who asks to be forgotten: the name goes, wherever it stands; the fish stay.

The donor's row stays for the count of who gave what, without a name. Free text that names the
donor keeps its other words, in the rows of history too. The account of a guide keeps its number,
since fish name who logged them, and nothing else.
"""

from dataclasses import dataclass
from datetime import datetime
from functools import partial

from axes.models import AccessAttempt
from django.contrib.admin.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import transaction
from django.db.models import Q

from samples.accounts.sessions import end_all
from samples.donors.queries import other_roles_of, photos_of
from samples.donors.services.addresses import take_out_address
from samples.donors.services.free_text import take_names_out
from samples.models import (
    SHARED,
    Donor,
    Membership,
    SecurityEvent,
    User,
    atomic_with_revision,
    note_lakes,
)

NO_NAME = "Forgotten donor"


class CannotForget(Exception):
    """Why a donor is not forgotten, in a sentence fit to show."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was taken out: texts that held the name, and photos."""

    texts: int
    photos: int


@atomic_with_revision()
def forget_donor(donor: Donor, *, with_photos: bool, actor: User, now: datetime) -> Forgotten:
    """Take a donor's name, address and account out, for good. Asked twice, it is done once.

    :raises CannotForget: if the account is needed for another role
    """
    # The person is locked through the row alone: who else holds it is none of this.
    kept = (
        Donor.objects.select_for_update(of=("self",))
        .select_related("lake", "person")
        .get(pk=donor.pk)
    )
    if kept.forgotten_at is not None:
        return Forgotten(0, 0)
    if roles := other_roles_of(kept):
        listed = ", ".join(f"{one.get_role_display().lower()} at {one.lake}" for one in roles)
        raise CannotForget(
            "other_roles", f"This person is also {listed}. Take these roles away first."
        )
    person = kept.person
    names = [kept.name, *([person.display_name, person.username] if person else [])]
    texts = take_names_out(kept.lake, names)
    photos = _delete_photos(kept) if with_photos else 0
    take_out_address(kept)
    kept.name, kept.person = "", None
    kept.forgotten_at, kept.forgotten_by = now, actor
    kept.save(update_fields=["name", "person", "forgotten_at", "forgotten_by"])
    if person is not None:
        _empty_account(person, now=now)
    # Pages that were worked out before may hold the name.
    note_lakes(kept.lake_id)
    return Forgotten(texts, photos)


def _delete_photos(donor: Donor) -> int:
    found = list(photos_of(donor))
    for photo in found:
        storage, name = photo.file.storage, str(photo.file.name)
        photo.delete()
        # Robust: the row is gone by then, and a file that stays is a stray that is cleaned up.
        transaction.on_commit(partial(storage.delete, name), robust=True)
    return len(found)


def _empty_account(person: User, *, now: datetime) -> None:
    """Leave nothing in an account by which its person is known, and let nobody in by it."""
    end_all(person, now=now)
    person.personal_links.filter(revoked_at__isnull=True).update(revoked_at=now)
    person.phones.update(name="")
    person.saved_views.all().delete()
    Membership.objects.filter(person=person).delete()
    AccessAttempt.objects.filter(username=person.username).delete()
    no_name = f"forgotten-{person.pk}"
    lines = SecurityEvent.objects.filter(Q(person=person) | Q(name__iexact=person.username))
    lines.update(name=no_name, address=None, network=None)
    about = LogEntry.objects.filter(
        content_type=ContentType.objects.get_for_model(User), object_id=str(person.pk)
    )
    about.update(object_repr=no_name)
    person.username, person.display_name = no_name, NO_NAME
    person.first_name = person.last_name = person.email = ""
    person.is_active = False
    person.set_unusable_password()
    person.save()
    # Readers and loggers are named on pages of every lake.
    note_lakes(SHARED)
