"""One table of doors: who is let in at their own lake, and nobody of another.

Every address of the site stands in it; a new one that does not is a failed test.
"""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from samples.accounts.links import make_phone
from samples.models import (
    Fish,
    Party,
    UnmeasuredCount,
)
from tests.door_things import things
from tests.doors import (
    AT_LAKE,
    ENDS_THE_SESSION,
    FOR_A_SESSION,
    NAMED_BY_A_PHONE,
    OF_A_PERSON,
    OPEN,
    ROLES,
    WITH_A_PHONE,
    address_of,
)
from tests.people import NOW, make_person

__all__ = ["things"]

OPENED = {200, 302, 400, 404, 405, 410, 422}


def try_door(client, address):
    """Open a door the way it opens: by looking, or where that is not done, by sending."""
    answer = client.get(address)
    answer = client.post(address) if answer.status_code == 405 else answer
    if answer.status_code == 302 and "_auth_user_id" in client.session:
        # Whoever is signed in is let in or told no; nobody is asked to sign in again.
        assert not answer["Location"].startswith("/sign-in/"), address
    return answer


@pytest.mark.once
@pytest.mark.parametrize("role", ROLES)
def test_at_their_own_lake_each_role_opens_its_own_doors(client, request, things, role):
    client.force_login(request.getfixturevalue(role))
    wrong = {}

    for name, allowed, names in AT_LAKE:
        address = address_of(name, names, things, "lake-orrinbeck")
        status = try_door(client, address).status_code
        opened = status in OPENED - {404}
        if opened != (role in allowed) or (not opened and status != 403):
            wrong[name] = status
        # A role that was just taken away by its own door is given back.
        client.force_login(request.getfixturevalue(role))

    assert wrong == {}


@pytest.mark.once
@pytest.mark.parametrize("role", ROLES)
def test_nobody_of_another_lake_finds_a_door_here(client, things, other_lake, role):
    client.force_login(make_person(other_lake, role, f"Z. {role.title()}"))

    statuses = {
        name: try_door(client, address_of(name, names, things, "lake-orrinbeck")).status_code
        for name, _, names in AT_LAKE
    }

    assert {name: status for name, status in statuses.items() if status != 404} == {}


@pytest.mark.once
@pytest.mark.parametrize("role", ROLES)
def test_a_row_of_another_lake_is_not_to_be_had_through_ones_own(client, things, other_lake, role):
    """The lake in the address is one's own; what it names belongs to somebody else's."""
    client.force_login(make_person(other_lake, role, f"Z. {role.title()}"))
    # Of the installation, not of a lake: groups, label stocks, topics.
    sheets = {"vials:picture", "vials:stock_picture"}  # of what stands in the query
    topics = {"findings:finding", "findings:public", "reports:add"}
    shared = {"waters:group", "vials:printer", "vials:test_page", *topics, *sheets}
    in_words = {"vials:mark"}  # says beside the field that no such vial is here

    statuses = {
        name: try_door(client, address_of(name, names, things, "tamsin-reservoir")).status_code
        for name, allowed, names in AT_LAKE
        if names and role in allowed and name not in shared
    }

    wrong = {name: status for name, status in statuses.items() if status != 404}
    assert wrong.items() <= {(name, 422) for name in in_words}


@pytest.mark.once
@pytest.mark.parametrize("role", ROLES)
def test_doors_of_a_person_open_by_role(client, request, things, role):
    person = request.getfixturevalue(role)
    client.force_login(person)
    Fish.objects.update(logged_by=person)
    Party.objects.update(opened_by=person)
    UnmeasuredCount.objects.update(logged_by=person)

    for name, allowed, names in OF_A_PERSON:
        status = try_door(client, address_of(name, names, things)).status_code
        assert (status in OPENED - {404}) == (role in allowed), (name, status)


def test_somebody_elses_fish_is_not_there(client, things, clerk):
    client.force_login(clerk)

    for name in ("ramp:correct", "ramp:undo"):
        address = reverse(name, kwargs={"entry_id": things["entry_id"]})
        assert try_door(client, address).status_code == 404


def test_without_signing_in_every_door_leads_to_the_sign_in(client, things):
    doors = [address_of(name, names, things, "lake-orrinbeck") for name, _, names in AT_LAKE]
    doors += [address_of(name, names, things) for name, _, names in OF_A_PERSON]

    for address in doors:
        answer = try_door(client, address)
        assert answer.status_code == 302, address
        assert answer["Location"].startswith("/sign-in/?next="), address


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize(("name", "allowed", "opened"), WITH_A_PHONE)
def test_a_phones_doors_open_by_role(request, things, name, allowed, opened, role):
    token = make_phone(request.getfixturevalue(role), now=NOW).token
    client = Client(headers={"authorization": f"Token {token}"})

    status = try_door(client, reverse(name, kwargs=NAMED_BY_A_PHONE.get(name))).status_code

    assert status == (opened if role in allowed else 403)


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize(("name", "allowed"), FOR_A_SESSION)
def test_a_session_gets_a_phones_token_by_role(request, things, name, allowed, role):
    client = Client()
    client.force_login(request.getfixturevalue(role))

    answer = client.post(reverse(name), {}, content_type="application/json")

    assert answer.status_code == (201 if role in allowed else 403)


def names_of(resolver, prefix=""):
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLPattern):
            yield prefix + (pattern.name or str(pattern.pattern))
        elif pattern.namespace != "admin":
            space = f"{pattern.namespace}:" if pattern.namespace else ""
            yield from names_of(pattern, prefix + space)


def test_every_address_stands_in_the_table():
    tables = [*AT_LAKE, *OF_A_PERSON, *WITH_A_PHONE, *FOR_A_SESSION]
    known = {name for name, *_ in tables} | set(OPEN) | set(ENDS_THE_SESSION)

    assert set(names_of(get_resolver(settings.ROOT_URLCONF))) == known


@pytest.mark.once
def test_head_answers_wherever_get_does(things, biologist):
    """Link checkers and proxies ask for the head alone; no page refuses them."""
    client = Client()
    client.force_login(biologist)
    Fish.objects.update(logged_by=biologist)
    doors = [
        (name, address_of(name, names, things, "lake-orrinbeck")) for name, _, names in AT_LAKE
    ]
    doors += [(name, address_of(name, names, things)) for name, _, names in OF_A_PERSON]
    doors += [(name, reverse(name)) for name in ("ramp:shell", "ramp:worker")]
    doors += [("healthy", "/healthy/"), ("ready", "/ready/")]
    phone = Client(headers={"authorization": f"Token {make_phone(biologist, now=NOW).token}"})

    def statuses(method):
        found = {name: getattr(client, method)(address).status_code for name, address in doors}
        return found | {"pick_lists": getattr(phone, method)(reverse("pick_lists")).status_code}

    assert statuses("head") == statuses("get")


def test_a_sending_from_another_site_is_refused(things, office):
    client = Client(enforce_csrf_checks=True)
    client.force_login(office)

    answer = client.post("/lakes/lake-orrinbeck/vials/receive/", {"number": "26 0001 8"})

    assert answer.status_code == 403
