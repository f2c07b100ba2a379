"""Everybody at every address by every method: what is answered, and that nothing ever fails.

``python -m pytest tests/test_matrix_of_doors.py -s`` prints the counts.
"""

from collections import Counter

import pytest
from django.test import Client
from django.urls import reverse

from samples.models import Fish
from tests.door_things import things
from tests.doors import (
    AT_LAKE,
    OF_A_PERSON,
    OPEN,
    ROLES,
    address_of,
)
from tests.people import make_person

# Thousands of requests, so once: on the database that sites run on.
pytestmark = pytest.mark.once

__all__ = ["things"]
# What only reads goes first: a posting takes rows away. HEAD is in tests/test_permissions.py, and
# PUT is refused where DELETE is.
METHODS = ["GET", "OPTIONS", "POST", "DELETE"]
ARGUMENTS_OF_OPEN = {
    "accounts:this_is_me": ["no-such-token"],
    "accounts:password_by_link": ["MQ", "no-such-token"],
    "ramp:script": ["0" * 16],
    "ramp:vial_link": ["2600018"],
    "asks:public": ["lake-orrinbeck"],
    "asks:feed": ["lake-orrinbeck"],
    "donors:stop_mail": ["no-such-token"],
}
ANSWERS = {200, 302, 400, 401, 403, 404, 405, 410, 415, 422}


def who_is_there(role, lake, other_lake, django_user_model):
    """Make one person: nobody, a role here, a role elsewhere, or the administrator alone."""
    if role == "nobody":
        return None
    if role == "administrator":
        return django_user_model.objects.create_superuser(
            "administrator", display_name="A. Dunmore"
        )
    place, _, role = role.partition(" ")
    return make_person(lake if place == "here" else other_lake, role, f"Z. {role}")


INSIDE = {name for name, *_ in AT_LAKE}
PEOPLE = [
    "nobody",
    "administrator",
    *(f"here {role}" for role in ROLES),
    # Elsewhere one role is as closed as another: who may least there, and who may most.
    "there guide",
    "there biologist",
]

# Who has no business at the lake is led to the sign-in, or told that there is no such page.
CLOSED = {who: {404, 405} for who in PEOPLE if not who.startswith("here")} | {"nobody": {302, 405}}


@pytest.mark.parametrize("who", PEOPLE)
def test_every_door_answers_everybody_by_every_method(
    things, lake, other_lake, django_user_model, who
):
    person = who_is_there(who, lake, other_lake, django_user_model)
    client = Client(raise_request_exception=False)
    if person is not None:
        client.force_login(person)
    addresses = {
        name: address_of(name, names, things, "lake-orrinbeck") for name, _, names in AT_LAKE
    }
    addresses |= {name: address_of(name, names, things) for name, _, names in OF_A_PERSON}
    addresses |= {name: reverse(name, args=ARGUMENTS_OF_OPEN.get(name, [])) for name in OPEN}
    del addresses["accounts:sign_out"]  # ends the session
    counted: Counter[tuple[str, int]] = Counter()
    wrong = {}

    for name, address in addresses.items():
        for method in METHODS:
            status = client.generic(method, address).status_code
            counted[method, status] += 1
            if status not in (CLOSED[who] if name in INSIDE and who in CLOSED else ANSWERS):
                wrong[name, method] = status

    rows = [
        f"{method} {sum(n for (one, _), n in counted.items() if one == method)}: "
        + ", ".join(f"{s} x {n}" for (one, s), n in sorted(counted.items()) if one == method)
        for method in METHODS
    ]
    print(f"\n{who}: {counted.total()} requests at {len(addresses)} addresses", *rows, sep="\n  ")
    assert wrong == {}
    assert ("_auth_user_id" in client.session) == (person is not None)
    assert Fish.objects.count() == 2
