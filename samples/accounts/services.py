"""Changes to people and what they may do."""

from django.db import transaction
from django.utils.text import slugify

from samples.models import Donor, Lake, Membership, User


@transaction.atomic
def add_person(
    lake: Lake, *, display_name: str, role: str, username: str = "", password: str = ""
) -> User:
    """Add somebody to a lake. A guide also becomes a donor, under the same name."""
    person = User(username=username or _free_username(display_name), display_name=display_name)
    if password:
        person.set_password(password)
    else:
        person.set_unusable_password()
    person.save()
    add_role(person, lake, role)
    return person


def add_role(person: User, lake: Lake, role: str) -> None:
    """Add a role at a lake; adding it twice changes nothing."""
    Membership.objects.get_or_create(person=person, lake=lake, role=role)
    if role == Membership.Role.GUIDE:
        Donor.objects.get_or_create(
            lake=lake, person=person, defaults={"name": person.display_name}
        )


class LastBiologist(Exception):
    """The last biologist of a lake keeps the role: nobody could give it back."""


@transaction.atomic
def remove_role(membership: Membership) -> None:
    """Take a role away; what the person logged or read stays.

    :raises LastBiologist: if the lake would be left without one
    """
    biologists = Membership.objects.select_for_update().filter(
        lake=membership.lake_id, role=Membership.Role.BIOLOGIST
    )
    if membership.role == Membership.Role.BIOLOGIST and len(biologists) < 2:
        raise LastBiologist("A lake needs a biologist. Add another first.")
    membership.delete()


def _free_username(display_name: str) -> str:
    stem = slugify(display_name) or "person"
    taken = set(User.objects.filter(username__startswith=stem).values_list("username", flat=True))
    names = (stem if n == 1 else f"{stem}-{n}" for n in range(1, len(taken) + 2))
    return next(name for name in names if name not in taken)
