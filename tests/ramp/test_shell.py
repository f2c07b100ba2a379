"""The app that works without signal: what every phone gets, and how large it is."""

import gzip
import json
import re

import pytest
from django.test import Client
from django.urls import reverse

from fisheries.storage import lean
from samples.ramp.views import app

FIRST_VISIT = 60_000


@pytest.fixture
def shell():
    return Client().get(reverse("ramp:shell"))


def test_the_shell_has_no_person_in_it(client, guide, party, shell):
    client.force_login(guide, backend="django.contrib.auth.backends.ModelBackend")

    signed_in = client.get(reverse("ramp:shell"))

    assert signed_in.content == shell.content
    assert not signed_in.cookies
    assert str(guide) not in shell.content.decode()


def test_the_worker_keeps_the_shell_and_every_file_that_it_names(shell):
    script = Client().get(reverse("ramp:worker")).content.decode()
    [words] = re.findall(r"^const KEPT = (.*);", script)
    kept = json.loads(words)

    named = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', shell.content.decode()))
    pictures_of_home_screens = {name for name in named if "icon-" in name}
    assert named - pictures_of_home_screens == set(kept["files"])
    assert kept["shell"] == reverse("ramp:shell")


def test_every_module_is_kept_that_another_one_takes_from():
    taken = set()
    for name in app.SCRIPTS:
        found = re.findall(r'from "\./([\w.]+)"', app._bytes_of(name).decode())
        taken |= {f"samples/ramp/{one}" for one in found}

    assert taken <= set(app.SCRIPTS)


def test_another_content_is_another_version(monkeypatch):
    before = app.shell_now().version
    plain = app._bytes_of

    def changed(name):
        return plain(name) + (b" " if name.endswith("tokens.css") else b"")

    monkeypatch.setattr(app, "_bytes_of", changed)

    assert app.shell_now().version != before


def test_a_first_visit_is_small(shell):
    """All that a phone fetches to work without signal, as it goes over the wire of a site."""
    bodies = [shell.content, Client().get(reverse("ramp:worker")).content]
    bodies += [Client().get(reverse("ramp:manifest")).content]
    bodies += [lean(name, app._bytes_of(name)) for name in (*app.FILES, app.ICONS[0][0])]

    assert sum(len(gzip.compress(body, 6)) for body in bodies) < FIRST_VISIT


def test_the_manifest_makes_it_an_app_of_its_own():
    answer = Client().get(reverse("ramp:manifest"))

    words = answer.json()
    assert answer["Content-Type"] == "application/manifest+json"
    assert words["display"] == "standalone"
    assert words["start_url"] == words["id"] == reverse("ramp:shell")
    assert {icon["purpose"] for icon in words["icons"]} == {"any", "maskable"}
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in words["icons"]}
