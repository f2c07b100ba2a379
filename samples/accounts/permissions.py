"""Who may do what: the table of roles, and the question asked of it."""

from collections.abc import Iterable
from enum import StrEnum

from samples.models import Lake, Membership, User

Role = Membership.Role


class Permission(StrEnum):
    """One thing a person may do at a lake."""

    LOG_FISH = "log fish"
    LOG_FOR_OTHERS = "log other people's fish, and fish without a vial"
    PRINT_LABELS = "print labels"
    MOVE_VIALS = "issue, receive and find vials"
    PRINT_LINKS = "print personal links on kit cards"
    SETTLE_HELD = "resolve entries"
    PREPARE_OTOLITHS = "prepare otoliths"
    READ_OTOLITHS = "read otoliths"
    SEE_COVERAGE = "see coverage and lengths at age"
    DECIDE_AGES = "decide ages"
    SEE_FISH = "see every fish of the lake"
    SEE_DONORS = "see who donated"
    EDIT_TARGETS = "set targets"
    SHARE_VIEWS = "share saved views"
    WRITE_REPORTS = "write season reports"
    EDIT_WATERS = "edit the lake, its seasons and species"
    EDIT_PEOPLE = "edit people and their links"


# What is done at the ramp, on a phone; whoever may do more is staff and has the lake's pages.
RAMP_ONLY = frozenset({Permission.LOG_FISH, Permission.LOG_FOR_OTHERS})
OF_STAFF = tuple(one for one in Permission if one not in RAMP_ONLY)

GRANTS: dict[str, frozenset[Permission]] = {
    Role.GUIDE: frozenset({Permission.LOG_FISH}),
    Role.CLERK: frozenset({Permission.LOG_FISH, Permission.LOG_FOR_OTHERS}),
    Role.OFFICE: frozenset(
        {
            Permission.PRINT_LABELS,
            Permission.MOVE_VIALS,
            Permission.PRINT_LINKS,
            Permission.SETTLE_HELD,
            Permission.PREPARE_OTOLITHS,
        }
    ),
    # A reader reads otoliths and decides nothing.
    Role.READER: frozenset({Permission.READ_OTOLITHS, Permission.PREPARE_OTOLITHS}),
    Role.BIOLOGIST: frozenset(Permission),
}


def roles_at(person: User, lake: Lake) -> set[str]:
    return {
        membership.role for membership in memberships_of(person) if membership.lake_id == lake.pk
    }


def memberships_of(person: User) -> list[Membership]:
    """Return every role of a person. Asked once for a request: the answer stays on the object."""
    known: list[Membership] | None = getattr(person, "_memberships", None)
    if known is None:
        known = list(
            Membership.objects.filter(person=person)
            .select_related("lake")
            .order_by("lake__name", "pk")
        )
        person._memberships = known  # type: ignore[attr-defined]
    return known


def has_permission(person: User, permission: Permission, lake: Lake) -> bool:
    """Return whether a person may do this at this lake."""
    return person.is_active and any(permission in GRANTS[role] for role in roles_at(person, lake))


def lakes_with_permission(person: User, permission: Permission) -> list[Lake]:
    """List the lakes where a person may do this, by name."""
    lakes = {
        membership.lake_id: membership.lake
        for membership in memberships_of(person)
        if permission in GRANTS[membership.role]
    }
    return list(lakes.values()) if person.is_active else []


def permissions_of(roles: Iterable[str]) -> set[Permission]:
    return {what for role in roles for what in GRANTS[role]}
