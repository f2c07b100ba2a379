"""One table of doors: who is let in at their own lake, and nobody of another.

Every address of the site stands in it; a new one that does not is a failed test.
"""

from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from samples.accounts.links import make_link, make_phone
from samples.models import (
    Computation,
    Fish,
    OpenSession,
    Party,
    Photo,
    Reading,
    Regulation,
    SavedView,
    UnmeasuredCount,
)
from tests.factories import make_fish, make_held_fish
from tests.people import NOW, make_person
from tests.waters.figures import make_figures

ROLES = ["guide", "clerk", "office", "reader", "biologist"]
LOGGERS = {"guide", "clerk", "biologist"}
VIALS = {"office", "biologist"}
READERS = {"reader", "biologist"}
BIOLOGIST = {"biologist"}
STAFF = {"office", "reader", "biologist"}
EVERYBODY = set(ROLES)
# What all lakes share: nobody by a role at one of them.
ADMINISTRATOR: set[str] = set()

# Doors at a lake: name, who may open it, what its address names besides the lake.
AT_LAKE = [
    ("today", EVERYBODY, {}),
    ("search:search", STAFF, {}),
    ("today:saved_views", BIOLOGIST, {}),
    ("today:save_view", BIOLOGIST, {}),
    ("today:rename_view", BIOLOGIST, {"pk": "view"}),
    ("today:remove_view", BIOLOGIST, {"pk": "view"}),
    ("findings:findings", BIOLOGIST, {}),
    ("findings:public", BIOLOGIST, {"topic": "for_the_public"}),
    ("findings:finding", BIOLOGIST, {"topic": "topic"}),
    ("findings:figure", BIOLOGIST, {"topic": "topic", "place": "place", "kind": "kind"}),
    ("findings:computation", BIOLOGIST, {"pk": "computation"}),
    ("findings:cancel", BIOLOGIST, {"pk": "computation"}),
    ("findings:compute_again", BIOLOGIST, {"pk": "computation"}),
    ("findings:table", BIOLOGIST, {"topic": "topic", "place": "place", "kind": "kind"}),
    ("accounts:people", BIOLOGIST, {}),
    ("accounts:person", BIOLOGIST, {"pk": "person"}),
    ("accounts:take_back_link", BIOLOGIST, {"pk": "person", "link_pk": "link"}),
    ("accounts:take_back_phone", BIOLOGIST, {"pk": "person", "phone_pk": "phone"}),
    ("accounts:take_role_away", BIOLOGIST, {"pk": "person", "membership_pk": "membership"}),
    ("waters:lake", BIOLOGIST, {}),
    ("waters:edit_lake", BIOLOGIST, {}),
    ("waters:copy_settings", BIOLOGIST, {}),
    ("waters:add_listed_species", BIOLOGIST, {}),
    ("waters:arms", BIOLOGIST, {}),
    ("waters:arm", BIOLOGIST, {"pk": "arm"}),
    ("waters:move_arm", BIOLOGIST, {"pk": "arm"}),
    ("waters:remove_arm", BIOLOGIST, {"pk": "arm"}),
    ("waters:add_reach", BIOLOGIST, {"pk": "arm"}),
    ("waters:reach", BIOLOGIST, {"pk": "reach"}),
    ("waters:move_reach", BIOLOGIST, {"pk": "reach"}),
    ("waters:remove_reach", BIOLOGIST, {"pk": "reach"}),
    ("waters:species", BIOLOGIST, {}),
    ("waters:take_up", BIOLOGIST, {}),
    ("waters:add_species", BIOLOGIST, {}),
    ("waters:lake_species", BIOLOGIST, {"pk": "lake_species"}),
    ("waters:move_lake_species", BIOLOGIST, {"pk": "lake_species"}),
    ("waters:remove_lake_species", BIOLOGIST, {"pk": "lake_species"}),
    ("waters:edit_species", ADMINISTRATOR, {"pk": "species"}),
    ("waters:group", BIOLOGIST, {"pk": "group"}),
    ("waters:seasons", BIOLOGIST, {}),
    ("waters:add_season", BIOLOGIST, {}),
    ("waters:season", BIOLOGIST, {"pk": "season"}),
    ("waters:regulations", BIOLOGIST, {}),
    ("waters:add_regulation", BIOLOGIST, {}),
    ("waters:regulation", BIOLOGIST, {"pk": "regulation"}),
    ("waters:elsewhere", BIOLOGIST, {}),
    ("waters:add_natural_death", BIOLOGIST, {}),
    ("waters:natural_death", BIOLOGIST, {"pk": "natural_death"}),
    ("waters:remove_natural_death", BIOLOGIST, {"pk": "natural_death"}),
    ("waters:add_release_death", BIOLOGIST, {}),
    ("waters:release_death", BIOLOGIST, {"pk": "release_death"}),
    ("waters:remove_release_death", BIOLOGIST, {"pk": "release_death"}),
    ("waters:add_tag_returns", BIOLOGIST, {}),
    ("waters:tag_returns", BIOLOGIST, {"pk": "tag_returns"}),
    ("waters:remove_tag_returns", BIOLOGIST, {"pk": "tag_returns"}),
    ("waters:add_creel_figures", BIOLOGIST, {}),
    ("waters:creel_figures", BIOLOGIST, {"pk": "creel_figures"}),
    ("waters:remove_creel_figures", BIOLOGIST, {"pk": "creel_figures"}),
    ("ramp:photo", VIALS, {"pk": "photographed"}),
    ("ramp:held", VIALS, {}),
    ("ramp:held_entry", VIALS, {"pk": "held"}),
    ("ramp:give_vial", VIALS, {"pk": "waiting"}),
    ("ramp:paste", VIALS, {}),
    ("lab:grid", READERS, {}),
    ("lab:save_row", READERS, {}),
    ("lab:settle", BIOLOGIST, {}),
    ("lab:work_out", BIOLOGIST, {}),
    ("lab:vial", BIOLOGIST, {"number": "number"}),
    ("lab:decide", BIOLOGIST, {"number": "number"}),
    ("lab:undo", BIOLOGIST, {"number": "number"}),
    ("lab:take_back", READERS, {"pk": "reading"}),
    ("targets:coverage", BIOLOGIST, {}),
    ("targets:coverage_csv", BIOLOGIST, {}),
    ("targets:fish", BIOLOGIST, {}),
    ("targets:fish_csv", BIOLOGIST, {}),
    ("targets:fish_xlsx", BIOLOGIST, {}),
    ("targets:targets", BIOLOGIST, {}),
    ("vials:labels", VIALS, {}),
    ("vials:issue", VIALS, {}),
    ("vials:receive", VIALS, {}),
    ("vials:find", VIALS, {}),
    ("vials:digits", ADMINISTRATOR, {"year": "year"}),
    ("vials:printer", VIALS, {"stock": "stock"}),
    ("vials:test_page", VIALS, {"stock": "stock"}),
    ("vials:run", VIALS, {"pk": "run"}),
    ("vials:run_pdf", VIALS, {"pk": "run"}),
    ("vials:void", VIALS, {"pk": "run"}),
    ("vials:take_back", VIALS, {}),
    ("vials:mark", VIALS, {"number": "number"}),
]
# Doors that belong to no lake in the address: each shows a person their own things only.
OF_A_PERSON = [
    ("home", EVERYBODY, {}),
    ("today:lakes", EVERYBODY, {}),
    ("waters:add_lake", ADMINISTRATOR, {}),
    ("accounts:account", EVERYBODY, {}),
    ("accounts:change_password", EVERYBODY, {}),
    ("accounts:end_session", set(), {"pk": "session"}),
    ("accounts:end_phone", set(), {"pk": "a_phone"}),
    ("ramp:log", LOGGERS, {}),
    ("ramp:open_party", LOGGERS, {}),
    ("ramp:change_party", LOGGERS, {}),
    ("ramp:close_party", LOGGERS, {}),
    ("ramp:shift", LOGGERS, {}),
    ("ramp:carry_on", LOGGERS, {}),
    ("ramp:reopen_party", LOGGERS, {"party_id": "party_id"}),
    ("ramp:count", {"clerk", "biologist"}, {}),
    ("ramp:undo_count", {"clerk", "biologist"}, {"entry_id": "count_id"}),
    ("ramp:correct", LOGGERS, {"entry_id": "entry_id"}),
    ("ramp:undo", LOGGERS, {"entry_id": "entry_id"}),
    ("ramp:mine", LOGGERS, {}),
]
# Doors that open to anybody, signed in or not, and tell nobody anything about a person.
OPEN = [
    "accounts:sign_in",
    "accounts:sign_in_as",
    "accounts:sign_out",
    "accounts:this_is_me",
    "accounts:lost_password",
    "accounts:password_by_link",
    "accounts:signed_out_everywhere",
    "ramp:vial_link",
    "ramp:how_old",
    "ramp:screen",
    "ramp:shell",
    "ramp:script",
    "ramp:worker",
    "ramp:manifest",
    "api_schema",
]
# The outbox takes JSON alone, so a form that came past its door is told so.
WITH_A_PHONE = [
    ("outbox", LOGGERS, 415),
    ("pick_lists", LOGGERS, 200),
    ("my_fish", LOGGERS, 200),
    ("needed", LOGGERS, 200),
    # It only takes a photo: looked at, it says so.
    ("photo_of_fish", LOGGERS, 405),
]
NAMED_BY_A_PHONE = {"photo_of_fish": {"entry_id": uuid4(), "sha256": "0" * 64}}
# Gives a phone its token: to a session, or for a personal link.
FOR_A_SESSION = [("phones", LOGGERS)]
# Ends the session that it is tried with; tests/accounts/test_account.py tries it.
ENDS_THE_SESSION = ["accounts:sign_out_everywhere"]
OPENED = {200, 302, 400, 404, 405, 410, 422}


@pytest.fixture
def things(party, white, vials, guide, biologist, reader, lake):
    """One row of everything that an address can name, all of this lake."""
    fish = make_fish(party, white, vial=vials[0])
    held = make_held_fish(lake, guide, entry_id=fish.entry_id)
    lake_species = lake.lake_species.first()
    Photo.objects.create(
        fish=fish,
        file=ContentFile(b"a picture", "a.jpg"),
        width_px=800,
        height_px=600,
        sent_by=guide,
        received_at=NOW,
    )
    return {
        "person": guide.pk,
        "membership": guide.memberships.get().pk,
        "link": make_link(guide, made_by=biologist, good_until=NOW.date(), now=NOW).link.pk,
        "phone": make_phone(guide, now=NOW).phone.pk,
        "session": OpenSession.objects.create(person=guide, session_key="x", began_at=NOW).pk,
        "a_phone": make_phone(make_person(lake, "guide", "Q. Lund"), now=NOW).phone.pk,
        "arm": lake.arms.first().pk,
        "reach": lake.arms.first().reaches.first().pk,
        "lake_species": lake_species.pk,
        "species": lake_species.species_id,
        "group": lake_species.species.group_id,
        "season": lake.seasons.get().pk,
        "regulation": Regulation.objects.create(
            lake=lake, in_force_from=NOW.date(), words="30 a day"
        ).pk,
        **{name: row.pk for name, row in make_figures(lake, white, biologist).items()},
        "photographed": fish.pk,
        "held": held.pk,
        "reading": Reading.objects.create(
            vial=vials[19], reader=reader, sitting_on=NOW.date(), annuli=4, read_at=NOW
        ).pk,
        "waiting": make_fish(party, white, vial_number_said="26 0001 8", method="trap_net").pk,
        "number": vials[0].number,
        "entry_id": fish.entry_id,
        "party_id": party.party_id,
        "count_id": UnmeasuredCount.objects.create(
            entry_id=uuid4(),
            party=party,
            species=white,
            count=4,
            logged_by=guide,
            logged_at=NOW,
            received_at=NOW,
        ).entry_id,
        "run": vials[0].run_id,
        "year": 2026,
        "stock": "sheet-35x15",
        "view": SavedView.objects.create(
            lake=lake, name="Females", path="/lakes/lake-orrinbeck/coverage/", query="sex=F"
        ).pk,
        "topic": "sizes",
        "for_the_public": "length-limit",
        "computation": Computation.objects.create(
            key="k",
            kind="finding",
            arguments={"lake": lake.pk, "topic": "sizes", "query": ""},
            state="queued",
            queued_at=NOW,
        ).pk,
        "place": 0,
        "kind": "csv",
    }


def address_of(name, names, things, slug=None):
    kwargs = {word: things[thing] for word, thing in names.items()}
    return reverse(name, kwargs=kwargs | ({"slug": slug} if slug else {}))


def try_door(client, address):
    """Open a door the way it opens: by looking, or where that is not done, by sending."""
    answer = client.get(address)
    answer = client.post(address) if answer.status_code == 405 else answer
    if answer.status_code == 302 and "_auth_user_id" in client.session:
        # Whoever is signed in is let in or told no; nobody is asked to sign in again.
        assert not answer["Location"].startswith("/sign-in/"), address
    return answer


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


@pytest.mark.parametrize("role", ROLES)
def test_nobody_of_another_lake_finds_a_door_here(client, things, other_lake, role):
    client.force_login(make_person(other_lake, role, f"Z. {role.title()}"))

    statuses = {
        name: try_door(client, address_of(name, names, things, "lake-orrinbeck")).status_code
        for name, _, names in AT_LAKE
    }

    assert {name: status for name, status in statuses.items() if status != 404} == {}


@pytest.mark.parametrize("role", ROLES)
def test_a_row_of_another_lake_is_not_to_be_had_through_ones_own(client, things, other_lake, role):
    """The lake in the address is one's own; what it names belongs to somebody else's."""
    client.force_login(make_person(other_lake, role, f"Z. {role.title()}"))
    # Of the installation, not of a lake: groups, label stocks, topics.
    topics = {"findings:finding", "findings:public"}
    shared = {"waters:group", "vials:printer", "vials:test_page", *topics}
    in_words = {"vials:mark"}  # says beside the field that no such vial is here

    statuses = {
        name: try_door(client, address_of(name, names, things, "tamsin-reservoir")).status_code
        for name, allowed, names in AT_LAKE
        if names and role in allowed and name not in shared
    }

    wrong = {name: status for name, status in statuses.items() if status != 404}
    assert wrong.items() <= {(name, 422) for name in in_words}


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
