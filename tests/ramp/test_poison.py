"""Entries made to break the outbox: each is refused for itself, and nothing kept breaks a page."""

import json

import pytest
from django.test import Client

from samples.accounts.links import make_phone
from samples.models import Entry, HeldEntry
from samples.ramp.entry import Unreadable, entries_in, read
from tests.people import NOW
from tests.ramp import entries

OUTBOX = "/api/v1/outbox/"


@pytest.fixture
def phone(guide):
    token = make_phone(guide, now=NOW).token
    return Client(headers={"authorization": f"Token {token}"})


def send_text(phone, *texts):
    """Send entries as text, since no library would write some of these."""
    body = '{"entries": [' + ", ".join(texts) + "]}"
    return phone.post(OUTBOX, body, content_type="application/json")


def as_text(entry, **raw):
    """Write an entry as JSON, with some of its words written as they are given."""
    words = [f"{json.dumps(name)}: {json.dumps(value)}" for name, value in entry.items()]
    return "{" + ", ".join([*words, *(f'"{name}": {text}' for name, text in raw.items())]) + "}"


NINES = "9" * 5_000
DEEP = "[" * 100_000 + "]" * 100_000
POISON = {
    "deep list": {"remark": DEEP},
    "deep object": {"remark": '{"a":' * 50_000 + "1" + "}" * 50_000},
    "number of 5,000 digits": {"spines": NINES},
    "digits as text": {"spines": f'"{NINES}"'},
    "number too large to be one": {"weight_g": "1e400"},
    "not a number": {"weight_g": "NaN"},
    "half a sign in a word": {"species": r'"white\ud83d"'},
    "half a sign in a length": {"length": r'"9.4\udc00"'},
    "half a sign in a name": {"\\ud83d": '"x"'},
    "null character": {"vial": r'"26\u0000"'},
    "half a sign in an id": {"entry_id": r'"\ud83d"'},
    "half a sign in the kind": {"kind": r'"\ud83d"'},
    "id that is a list": {"entry_id": "[[[1]]]"},
    "long id": {"entry_id": '"' + "e" * 9_000 + '"'},
    "instant without end": {"written_at": '"' + "9" * 9_000 + '"'},
    "list of answers with half a sign": {"confirmed": r'["\ud83d"]'},
}


@pytest.mark.django_db
@pytest.mark.parametrize("poison", POISON.values(), ids=POISON)
def test_poison_is_refused_for_itself_and_the_fish_beside_it_is_logged(phone, party, vials, poison):
    before = as_text(entries.fish(party.party_id, vials[0].number))
    bad = as_text(entries.fish(party.party_id, vials[1].number), **poison)
    after = as_text(entries.fish(party.party_id, vials[2].number))

    answer = send_text(phone, before, bad, after)

    assert answer.status_code == 200
    results = answer.json()["results"]
    assert [result["outcome"] for result in results] == ["logged", "refused", "logged"]
    assert results[1]["errors"]
    assert not HeldEntry.objects.exists()


@pytest.mark.django_db
def test_poison_in_an_entry_of_any_other_kind_is_not_kept(phone, party):
    texts = [
        as_text(entries.common("unmeasured_count", party.party_id), **poison)
        for poison in POISON.values()
        if "remark" in poison or "\\ud83d" in poison
    ]

    answer = send_text(phone, *texts)

    assert {result["outcome"] for result in answer.json()["results"]} == {"refused"}
    assert not Entry.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "body",
    [b"[" * 200_000, b'{"entries": ' + b"[" * 200_000, b"\xff\xfe", b"", b'"\\ud83d"', b"1e400"],
    ids=["brackets", "entries cut short", "no text", "nothing", "half a sign", "number"],
)
@pytest.mark.parametrize("content_type", ["application/json", "application/json; charset=base64"])
def test_a_body_that_is_no_batch_is_answered_in_words(phone, body, content_type):
    answer = phone.generic("POST", OUTBOX, body, content_type=content_type)

    assert answer.status_code == 400
    assert answer.json()


@pytest.mark.parametrize(
    "text", ["[" * 3_000 + "]" * 3_000, NINES, "NaN", "1e400", r'"\ud83d"', r'"\u0000"']
)
def test_pasted_poison_is_told_and_not_read(text):
    entry = as_text(entries.fish(entries.new_id(), "26 0001 8"), remark=text)

    [found] = entries_in(f'{{"by": "1", "entry": {entry}}}')

    assert found.entry is None
    assert found.problem


def test_what_is_nested_as_no_entry_is_is_refused_by_the_field():
    words = entries.fish(entries.new_id(), "26 0001 8")

    with pytest.raises(Unreadable) as problem:
        read(words | {"remark": [[[[[["deep"]]]]]]})

    assert list(problem.value.errors) == ["remark"]


@pytest.mark.django_db
def test_a_body_over_the_limit_is_answered_in_words(phone):
    answer = phone.generic(
        "POST", OUTBOX, b" " * 4_200_000 + b"{}", content_type="application/json"
    )

    assert answer.status_code == 413
    assert list(answer.json()) == ["detail"]


@pytest.mark.django_db
def test_asking_for_a_token_with_poison_is_answered_in_words(client, guide):
    client.force_login(guide)

    answer = client.generic("POST", "/api/v1/phones/", DEEP, content_type="application/json")

    assert answer.status_code == 400
    assert answer.json()


@pytest.mark.django_db
def test_brackets_in_a_text_are_no_depth(phone, party, vials):
    brackets = '"' + "[" * 3_000 + '"'
    plain = as_text(entries.fish(party.party_id, vials[0].number), remark=brackets)
    deep = as_text(entries.fish(party.party_id, vials[1].number), remark="[" * 3_000 + "]" * 3_000)

    results = send_text(phone, plain, deep).json()["results"]

    assert [result["outcome"] for result in results] == ["logged", "refused"]


@pytest.mark.django_db
@pytest.mark.sqlite  # PostgreSQL never kept half a sign
def test_a_page_shows_what_was_kept_before_such_entries_were_refused(client, office, guide, lake):
    said = entries.fish(entries.new_id(), "26 0001 8", species="white\ud83d", sex="\ud83d")
    held = HeldEntry(
        entry_id=said["entry_id"],
        kind="fish",
        fingerprint="x",
        said=said,
        reason="unknown_party",
        lake=lake,
        said_by=guide,
        said_at=NOW,
        received_at=NOW,
    )
    held.save()
    client.force_login(office)

    page = client.get("/lakes/lake-orrinbeck/held/")
    one = client.get(f"/lakes/lake-orrinbeck/held/{held.pk}/")

    assert (page.status_code, one.status_code) == (200, 200)
    assert "white\ufffd" in one.content.decode()
