"""Thousands of entries made from the interface's own document, whole and spoilt: never a 5xx.

``python -m pytest tests/ramp/test_fuzz.py -s`` prints how many were sent and what became of them.
"""

import json
from collections import Counter

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from samples.accounts.links import make_phone
from samples.accounts.throttles import PerPerson, PerPhone
from samples.models import EntryKind
from tests.people import NOW
from tests.ramp import entries

# Once, and on the database that takes less: it refuses signs that SQLite keeps.
pytestmark = pytest.mark.once

OUTBOX = "/api/v1/outbox/"
EXAMPLES = 300
# What JSON allows and no field wants; ``text`` draws half signs and nulls too.
ANY_TEXT = st.text(st.characters(codec=None), max_size=30)
JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | ANY_TEXT
    | st.sampled_from([10**40, 10**400, -1, 1e308, "9" * 5_000, "\ud83d", "\x00", "۹", "1e9999"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(ANY_TEXT, inner, max_size=3),
    max_leaves=8,
)
DAYS = [
    "2026-05-06",
    "0001-01-01",
    "9999-12-31",
    "2026-02-30",
    "2026-05-06T00:00:00Z",
    "1970-01-01",
]
INSTANTS = [
    "2026-05-06T12:31:00-05:00",
    "0001-01-01T00:00:00+14:00",
    "1970-01-01T00:00:00+23:59",
    "2200-12-31T23:59:59-23:59",
    "9999-12-31T23:59:59-12:00",
    "2026-05-06T12:31:00",
]


@pytest.fixture
def document(db):
    return Client().get("/api/schema/?format=json").json()


@pytest.fixture
def phone(guide):
    token = make_phone(guide, now=NOW).token
    return Client(headers={"authorization": f"Token {token}"}, raise_request_exception=False)


def value_of(schema, document, known):
    """Draw a value that this part of the document allows."""
    if "$ref" in schema:
        return value_of(
            document["components"]["schemas"][schema["$ref"].rsplit("/")[-1]], document, known
        )
    if "allOf" in schema or "oneOf" in schema:
        parts = schema.get("allOf") or schema["oneOf"]
        return st.one_of(*(value_of(part, document, known) for part in parts))
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    if schema["type"] == "array":
        return st.lists(value_of(schema["items"], document, known), max_size=4)
    if schema["type"] == "integer":
        return st.integers(schema.get("minimum", -3), schema.get("maximum", 40_000))
    by_format = {
        "uuid": st.sampled_from(known["ids"]) | st.uuids().map(str),
        "date": st.sampled_from(DAYS) | st.dates().map(str),
        "date-time": st.sampled_from(INSTANTS),
    }
    return by_format.get(
        schema.get("format"), st.sampled_from(known["words"] + known["vials"]) | ANY_TEXT
    )


def entry_of(schema, document, known):
    """Draw an entry of one kind: as the document has it, or with fields gone or spoilt."""
    fields = schema["properties"]
    whole = st.fixed_dictionaries(
        {n: value_of(fields[n], document, known) for n in schema["required"]},
        optional={
            n: value_of(f, document, known)
            for n, f in fields.items()
            if n not in schema["required"]
        },
    )
    spoilt = st.dictionaries(st.sampled_from(sorted(fields)) | ANY_TEXT, JUNK, max_size=3)
    return st.tuples(whole, spoilt | st.just({})).map(lambda both: both[0] | both[1])


def batches(document, known):
    schemas = document["components"]["schemas"]
    kinds = [s for s in schemas.values() if _kind_of(s, schemas) in EntryKind.values]
    assert len(kinds) == len(EntryKind.values)
    made = st.one_of(*(entry_of(schema, document, known) for schema in kinds))
    good = st.builds(
        lambda vial, entry_id: entries.fish(known["ids"][0], vial) | {"entry_id": entry_id},
        st.sampled_from(known["vials"]),
        st.sampled_from(known["ids"][1:]),
    )
    many = st.lists(good | made | made | JUNK, min_size=1, max_size=12)
    return many.map(lambda drawn: {"entries": drawn}) | JUNK


def _kind_of(schema, schemas):
    kind = schema.get("properties", {}).get("kind", {})
    kind = schemas[kind["$ref"].rsplit("/")[-1]] if "$ref" in kind else kind
    return kind.get("enum", [None])[0]


def test_no_sending_however_made_is_answered_with_a_failure(
    phone, document, party, vials, caplog, monkeypatch
):
    caplog.set_level("CRITICAL")
    for throttle in (PerPhone, PerPerson):
        monkeypatch.setattr(throttle, "rate", "100000/min", raising=False)
    known = {
        "ids": [
            str(party.party_id),
            *(f"0f000000-0000-4000-8000-0000000000{n:02d}" for n in range(9)),
        ],
        "vials": [vial.number for vial in vials[:8]],
        "words": [
            "lake-orrinbeck",
            "Brindle",
            "Cutbank",
            "Lower",
            "white-crappie",
            "black-crappie",
            "9.4",
            "9.41",
            "240",
            "1",
            "5",
            "date_in_future",
            "length_out_of_range",
        ],
    }
    statuses: Counter[int] = Counter()
    outcomes: Counter[str] = Counter()

    @settings(
        max_examples=EXAMPLES,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
        database=None,
    )
    @given(body=batches(document, known))
    def send(body):
        answer = phone.generic("POST", OUTBOX, json.dumps(body), content_type="application/json")
        statuses[answer.status_code] += 1
        assert answer.status_code in {200, 400}, answer.content
        if answer.status_code == 200:
            results = answer.json()["results"]
            assert len(results) == len(body["entries"])
            outcomes.update(result["outcome"] for result in results)

    send()
    print(f"\n{statuses.total()} sendings: {dict(statuses)}; entries: {dict(outcomes)}")
    assert set(outcomes) == {"logged", "already_logged", "held", "refused"}
