"""What a person gets to see. Every page and every API asks here, and nowhere else."""

from django.db.models import Q, QuerySet, Value
from django.db.models.functions import Coalesce, NullIf

from samples.accounts.permissions import Permission, lakes_with_permission, memberships_of
from samples.models import Fish, HeldEntry, Lake, Party, User, Vial


def name_of(path: str = "") -> Coalesce:
    """Return what a person is called on screen, as a database says it: as `str` of them.

    :param path: what leads to the person, for example "logged_by__"
    """
    return Coalesce(NullIf(f"{path}display_name", Value("")), f"{path}username")


def lakes_of(person: User) -> list[Lake]:
    """List every lake where a person has any role, by name."""
    return list({m.lake_id: m.lake for m in memberships_of(person)}.values())


def parties_logged_by(person: User) -> QuerySet[Party]:
    """Return the parties that a person logged; a guide sees no others."""
    return Party.objects.filter(
        opened_by=person, lake__in=lakes_with_permission(person, Permission.LOG_FISH)
    )


def fish_logged_by(person: User) -> QuerySet[Fish]:
    """Return the fish that a person logged, at lakes where they still may log."""
    return Fish.objects.filter(
        logged_by=person, lake__in=lakes_with_permission(person, Permission.LOG_FISH)
    )


def fish_at(person: User, lake: Lake) -> QuerySet[Fish]:
    """Return every fish of a lake, for those who may see them all; else none."""
    if lake not in lakes_with_permission(person, Permission.SEE_FISH):
        return Fish.objects.none()
    return Fish.objects.filter(lake=lake)


def fish_counted_at(person: User, lake: Lake) -> QuerySet[Fish]:
    """Return the fish that coverage and lengths at age count, for those who see them; else none."""
    if lake not in lakes_with_permission(person, Permission.SEE_COVERAGE):
        return Fish.objects.none()
    return fish_counted(lake)


def fish_counted_of(person: User) -> QuerySet[Fish]:
    """Return the same fish of every lake where a person sees coverage."""
    lakes = lakes_with_permission(person, Permission.SEE_COVERAGE)
    return Fish.objects.filter(lake__in=lakes, withdrawn=False)


def fish_counted(lake: Lake) -> QuerySet[Fish]:
    """Return the same fish, for what is worked out beside a page that asked who may."""
    return Fish.objects.filter(lake=lake, withdrawn=False)


def vials_given(person: User) -> QuerySet[Vial]:
    """Return the vials that were issued to a person and not taken back, used or not."""
    lakes = lakes_with_permission(person, Permission.LOG_FISH)
    return Vial.objects.filter(issued_to=person, lake__in=lakes)


def vials_in_hand(person: User) -> QuerySet[Vial]:
    """Return the vials issued to a person and not yet used."""
    return Vial.objects.filter(
        issued_to=person,
        state=Vial.State.ISSUED,
        lake__in=lakes_with_permission(person, Permission.LOG_FISH),
    )


def vials_at(person: User, lake: Lake) -> QuerySet[Vial]:
    """Return every vial of a lake, for those who move or read vials; else none."""
    if lake not in [
        *lakes_with_permission(person, Permission.MOVE_VIALS),
        *lakes_with_permission(person, Permission.READ_OTOLITHS),
    ]:
        return Vial.objects.none()
    return Vial.objects.filter(lake=lake)


def held_entries_at(person: User, lake: Lake) -> QuerySet[HeldEntry]:
    """Return the held entries of a lake, for those who settle them; else none."""
    if lake not in lakes_with_permission(person, Permission.SETTLE_HELD):
        return HeldEntry.objects.none()
    return HeldEntry.objects.filter(lake=lake)


def held_entries_of(person: User) -> QuerySet[HeldEntry]:
    """Return the held entries of every lake where a person settles them."""
    lakes = lakes_with_permission(person, Permission.SETTLE_HELD)
    return HeldEntry.objects.filter(lake__in=lakes)


def fish_to_settle_at(person: User, lake: Lake) -> QuerySet[Fish]:
    """Return the fish of a lake that wait for a vial, for those who settle held entries;
    else none.
    """
    if lake not in lakes_with_permission(person, Permission.SETTLE_HELD):
        return Fish.objects.none()
    return Fish.objects.filter(lake=lake, vial__isnull=True, withdrawn=False).exclude(
        vial_number_said=""
    )


def people_writing_at(person: User, lake: Lake) -> QuerySet[User]:
    """Return the people with a role at a lake or who logged there, for those who settle;
    else none.
    """
    if lake not in lakes_with_permission(person, Permission.SETTLE_HELD):
        return User.objects.none()
    return User.objects.filter(Q(memberships__lake=lake) | Q(parties__lake=lake)).distinct()
