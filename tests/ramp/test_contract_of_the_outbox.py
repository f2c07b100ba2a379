"""What the phone's outbox makes is what the site says that it takes, and what it reads.

The entries are made by the phone's own script; Node runs it.
"""

import json
import subprocess
from pathlib import Path
from typing import Any, cast
from uuid import UUID

import jsonschema
import pytest
from django.test import Client

from samples.models import EntryKind
from samples.ramp.entry import read

MAKES_THEM = Path(__file__).with_name("made_by_the_phone.mjs")


def made_by_the_phone():
    ran = subprocess.run(
        ["node", str(MAKES_THEM)], capture_output=True, text=True, check=True, timeout=30
    )
    return json.loads(ran.stdout)


@pytest.fixture(scope="module")
def entries():
    return made_by_the_phone()


@pytest.fixture
def contract(db):
    """Check words against what the OpenAPI document says of a batch."""
    document = Client().get("/api/schema/?format=json").json()
    body = document["paths"]["/api/v1/outbox/"]["post"]["requestBody"]
    # References inside the document stay whole where it is the schema's own root.
    schema = document | body["content"]["application/json"]["schema"]
    checker = jsonschema.Draft202012Validator(
        schema, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )

    def faults(*entries):
        return [str(fault.message) for fault in checker.iter_errors({"entries": list(entries)})]

    return faults


def test_every_kind_is_made_here(entries):
    assert {words["kind"] for words in entries} == set(EntryKind.values)


def test_every_entry_is_what_the_document_says(entries, contract):
    found = {
        f"{place} {words['kind']}": contract(words)
        for place, words in enumerate(entries)
        if contract(words)
    }

    assert found == {}
    assert contract(*entries) == []


@pytest.mark.parametrize(
    "spoil",
    [
        {"schema": "one"},
        {"kind": "weather"},
        {"entry_id": None},
        {"sex": "both"},
        {"unit": "cm"},
        {"by": 2},
        {"count": 0},
        {"arm": 7},
    ],
    ids=lambda spoil: next(iter(spoil)),
)
def test_the_document_takes_none_that_is_spoilt(entries, contract, spoil):
    [name] = spoil
    told = [words for words in entries if name in words]

    assert told
    assert all(contract(words | spoil) for words in told)


def test_every_entry_is_read_with_nothing_lost(entries):
    for words in entries:
        entry = read(words)

        assert entry.kind == words["kind"]
        assert entry.entry_id == UUID(words["entry_id"])
        assert entry.party_id == UUID(words["party_id"])
        assert entry.written_at.isoformat() == words["written_at"]
        assert entry.payload == words


def test_facts_read_as_they_were_said(entries):
    first, full, _, moved, _, bare, correction, _, _, back, counted, none, twelve, _ = (
        cast(Any, read(words)) for words in entries
    )

    assert (first.party.reach, first.party.every_nth, first.party.fish_in_box) == ("", None, None)
    assert (full.party.every_nth, full.party.fish_in_box, full.party.net_mesh_mm) == (2, 0, 13)
    assert (full.donor_name, full.interview_key) == ("L. Brask", "K-17")
    assert full.confirmed == ("date_in_future",)
    assert moved.moved
    assert (bare.fish.vial.text, bare.fish.spines, bare.fish.weight_g) == ("", 6, 310)
    assert bare.fish.length.hundredths_mm == 24_000
    assert bare.fish.confirmed == ("length_out_of_range", "spines_do_not_fit")
    assert correction.fish.length.hundredths_mm == 97 * 254
    assert back.offset == -1
    assert counted.count == 4
    assert (none.count_in_hand, twelve.count_in_hand, twelve.last_number) == (0, 12, "0018")
