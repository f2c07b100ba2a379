"""A phone of 0.1.0 against today's server: its own scripts, as they were, run by Node."""

import hashlib
import json
import subprocess
from pathlib import Path

import pytest
from django.db import connection

from samples.models import Fish, HeldEntry
from tests.upgrade.corpus import SENDINGS
from tests.upgrade.world import make_world

HERE = Path(__file__).parent
STORE_1 = json.loads((HERE / "phone_store_1.json").read_text(encoding="utf-8"))
# The scripts as 0.1.0 shipped them. They are never changed: phones in the field do not change.
SCRIPTS = {
    "outbox.js": "9c217d871d5e6a1d697b47b8b9abbf1adead6896086dfe0640455e42b7d6a65d",
    "sender.js": "6410fda0dcbf7b932f03d1e521e089baa8c32df73356ffd1e902487f95baf239",
    "store.js": "a770ad7c247d4db39104383bcbe81b054a7bb6142d3b96c54f3700f949c7a3d5",
}
STATE_OF = {"logged": "taken", "already_logged": "taken", "held": "held", "refused": "refused"}


@pytest.fixture
def world(transactional_db):
    return make_world()


def send(live_server, databases):
    """Let the phone send all that it holds; return what Node says of it."""
    done = subprocess.run(
        ["node", str(HERE / "send_as_0_1_0.mjs")],
        input=json.dumps({"address": live_server.url, "databases": databases}),
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.stderr == ""
    return json.loads(done.stdout)


def phone_of(world, name, records):
    """Return the store of a phone of version 1 with these records, carried by that person."""
    databases = json.loads(json.dumps(STORE_1))
    stores = databases["earstone"]["stores"]
    person = str(world.people[name].pk)
    stores["entries"]["records"] = [[one["seq"], one | {"person": person}] for one in records]
    stores["entries"]["next"] = len(records) + 1
    me = stores["people"]["records"][0][1] | {"key": person, "token": world.tokens[name]}
    stores["people"]["records"] = [[person, me]]
    return databases


def written(entries):
    """Return the records of entries as 0.1.0 writes them down, none of them sent."""
    return [
        {
            "entry_id": entry["words"]["entry_id"],
            "state": "waiting",
            "words": entry["words"],
            "tries": 0,
            "maybe_there": False,
            "reason": "",
            "errors": {},
            "seq": seq,
        }
        for seq, entry in enumerate(entries, start=1)
    ]


def records_in(databases):
    return [record for _, record in databases["earstone"]["stores"]["entries"]["records"]]


def ends(databases):
    return [(one["state"], one["reason"], sorted(one["errors"])) for one in records_in(databases)]


@pytest.mark.parametrize("name", SCRIPTS)
def test_the_scripts_are_those_of_the_release(name):
    script = (HERE / "phone_0_1_0" / name).read_bytes()

    assert hashlib.sha256(script).hexdigest() == SCRIPTS[name]


def test_every_entry_is_answered_as_then(world, live_server):
    for sending in SENDINGS:
        phone = phone_of(world, sending["by"], written(sending["entries"]))

        after = send(live_server, phone)

        answers = [entry["answer"] for entry in sending["entries"]]
        then = [(STATE_OF[one["outcome"]], one["reason"], one["errors"]) for one in answers]
        names = [entry["name"] for entry in sending["entries"]]
        found = dict(zip(names, ends(after["databases"]), strict=True))
        assert found == dict(zip(names, then, strict=True))
        assert after["waits"] == []
        assert after["told"][-1] == {"signal": "signal", "linkNeeded": [], "updateNeeded": False}
        if sending is SENDINGS[0]:
            world.bring_in()


def test_a_phone_that_was_in_a_drawer_sends_what_it_held(world, live_server):
    """Some of it had arrived before: each fish counts once, and what was refused waits."""
    records = records_in(STORE_1)
    had_arrived(world, live_server, {"taken", "held", "sending"})
    assert Fish.objects.count() == 2

    after = send(live_server, phone_of(world, "guide", records))

    states = {one["seq"]: one["state"] for one in records_in(after["databases"])}
    assert states == {
        1: "taken", 2: "taken", 3: "held", 4: "refused", 5: "replaced",
        6: "taken", 7: "taken", 8: "taken", 9: "taken", 10: "taken",
    }  # fmt: skip
    assert sorted(Fish.objects.values_list("vial__sequence", flat=True)) == [1, 2, 3, 5]
    assert Fish.objects.get(vial__sequence=1).length_as_measured == "9.7"
    assert HeldEntry.objects.count() == 1


def test_while_the_site_is_upgraded_everything_stays_on_the_phone(world, live_server):
    had_arrived(world, live_server, {"taken", "held"})
    phone = phone_of(world, "guide", records_in(STORE_1))

    rename("samples_unmeasuredcount", "samples_count")
    try:
        during = send(live_server, phone)
    finally:
        rename("samples_count", "samples_unmeasuredcount")

    states = {one["seq"]: one["state"] for one in records_in(during["databases"])}
    assert [seq for seq, state in states.items() if state == "waiting"] == [6, 7, 8, 9, 10]
    assert len(during["waits"]) == 1
    assert during["told"][-1]["signal"] == "not_ours"
    assert HeldEntry.objects.count() == 1
    assert Fish.objects.get().length_as_measured == "9.4"

    after = send(live_server, during["databases"])

    states = {one["seq"]: one["state"] for one in records_in(after["databases"])}
    assert [states[seq] for seq in (6, 7, 8, 9, 10)] == ["taken"] * 5
    assert Fish.objects.count() == 4


def had_arrived(world, live_server, states):
    """Send what the phone of version 1 had sent by the time its store was written down."""
    day = {entry["words"]["entry_id"]: entry for entry in SENDINGS[0]["entries"]}
    arrived = [day[one["entry_id"]] for one in records_in(STORE_1) if one["state"] in states]
    send(live_server, phone_of(world, "guide", written(arrived)))


def rename(table, name):
    with connection.cursor() as cursor:
        cursor.execute(f"ALTER TABLE {table} RENAME TO {name}")
