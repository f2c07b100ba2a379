"""The demo's door: on the machine that serves the demo, a role signs in without typing."""

import ipaddress
from dataclasses import dataclass

from django.conf import settings

from samples.models import Membership, User

Role = Membership.Role
# Most of the site first.
IN_ORDER = [Role.BIOLOGIST, Role.OFFICE, Role.READER, Role.CLERK, Role.GUIDE]


@dataclass(frozen=True, slots=True)
class DemoRole:
    """One button of the door."""

    value: str
    label: str
    person: User


def is_open_to(address: str | None) -> bool:
    """Return whether this is the demo, and the address is of the machine that serves it."""
    return bool(settings.DEMO and address and ipaddress.ip_address(address).is_loopback)


def demo_roles() -> list[DemoRole]:
    """Return the roles that somebody has, each with the first person who has it."""
    rows = Membership.objects.filter(person__is_active=True).select_related("person")
    first: dict[str, User] = {}
    for row in rows.order_by("pk"):
        first.setdefault(row.role, row.person)
    return [
        DemoRole(role.value, role.label.lower(), first[role]) for role in IN_ORDER if role in first
    ]


def person_with(role: str) -> User | None:
    return next((one.person for one in demo_roles() if one.value == role), None)
