"""An upgrade in the order of docs/operations.md, with a phone that sends all the while."""

import http.client
import json
import subprocess
import sys
import threading

import pytest
from django.db import connections

from samples.accounts.links import make_phone
from samples.models import Fish, HeldEntry
from tests.operations.databases import another, fill
from tests.operations.site import ROOT, ask, free_port, gunicorn, start_site
from tests.people import NOW
from tests.ramp import entries

NEXT = "tests.operations.next_release.settings"


class SendingPhone(threading.Thread):
    """Sends one fish after another, each again and again until it is answered."""

    KEPT = 5

    def __init__(self, port, token, batch):
        super().__init__(daemon=True)
        self.port, self.token, self.waiting = port, token, list(batch)
        self.answers, self.statuses = [], []
        self.some_sent, self.all_sent = threading.Event(), threading.Event()
        self.silence, self.pause = threading.Event(), threading.Event()

    def run(self):
        while self.waiting:
            self.pause.wait(0.02)
            self.send(self.waiting[0])

    def send(self, entry):
        head = {"Authorization": f"Token {self.token}", "Content-Type": "application/json"}
        body = json.dumps({"entries": [entry]})
        try:
            status, _, text = ask(
                self.port, "/api/v1/outbox/", method="POST", body=body, headers=head
            )
        except (OSError, http.client.HTTPException):
            self.silence.set()
            return
        self.statuses.append(status)
        if status != 200:
            return
        self.answers += json.loads(text)["results"]
        # It is never done before the site is stopped: until then it sends the same again.
        if len(self.waiting) > self.KEPT or self.silence.is_set():
            self.waiting.pop(0)
        if self.taken >= self.KEPT:
            self.some_sent.set()
        if not self.waiting:
            self.all_sent.set()

    @property
    def taken(self):
        return len({answer["entry_id"] for answer in self.answers})


@pytest.fixture
def address(tmp_path, transactional_db, party, vials, guide):
    guide.token = make_phone(guide, now=NOW).token
    with another(tmp_path, "upgraded") as url:
        fill("upgraded")
        connections["upgraded"].close()
        yield url


def manage(address, *words):
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(address, NEXT) | {"PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        check=False,
    )


def environment(address, settings):
    return {
        "DATABASE_URL": address,
        "DJANGO_SETTINGS_MODULE": settings,
        "EARSTONE_HOSTS": "127.0.0.1",
        "EARSTONE_PLAIN_HTTP": "1",
    }


def test_nothing_is_lost_doubled_or_held(tmp_path, address, guide, party, vials):
    port = free_port()
    old = gunicorn(tmp_path, port, environment(address, "fisheries.settings"))
    new = gunicorn(tmp_path, port, environment(address, NEXT))
    batch = [entries.fish(party.party_id, vial.number) for vial in vials[:15]]
    phone = SendingPhone(port, guide.token, batch)
    try:
        start_site(old)
        phone.start()
        assert phone.some_sent.wait(30)
        old.stop()
        assert phone.silence.wait(30)
        migrated = manage(address, "migrate", "--no-input")
        assert migrated.returncode == 0, migrated.stderr
        assert "Applying samples.after_this_release... OK" in migrated.stdout
        start_site(new)
        assert phone.all_sent.wait(30)
        status, _, ready = ask(port, "/ready/")
    finally:
        phone.waiting = []
        old.stop()
        new.stop()

    assert (status, json.loads(ready)["failed"]) == (200, [])
    assert {answer["outcome"] for answer in phone.answers} <= {"logged", "already_logged"}
    assert set(phone.statuses) == {200}
    logged = Fish.objects.using("upgraded").values_list("entry_id", flat=True)
    assert sorted(map(str, logged)) == sorted(entry["entry_id"] for entry in batch)
    assert not HeldEntry.objects.using("upgraded").exists()


def test_new_code_on_old_tables_says_what_is_missing(tmp_path, address):
    """What an administrator sees who forgot to migrate."""
    port = free_port()
    site = gunicorn(tmp_path, port, environment(address, NEXT))
    try:
        start_site(site)
        status, _, text = ask(port, "/ready/")
    finally:
        site.stop()

    assert status == 503
    assert json.loads(text)["failed"] == ["migrations"]
    assert "samples.after_this_release" in json.loads(text)["checks"]["migrations"]
