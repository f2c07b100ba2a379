"""What is sent while the tables are of another release: nothing is held, and all of it comes again.

During an upgrade old code runs beside new tables for some minutes. The tables are changed here as
another release might have changed them, in the test's own transaction.
"""

import pytest
from django.db import connection
from django.test import Client

from samples.accounts.links import make_phone
from samples.exchange.entry import read_table
from samples.exchange.services import CannotImport, Settings, import_fish
from samples.models import Entry, Fish, HeldEntry, Lake, Party, UnmeasuredCount
from samples.ramp import services
from samples.ramp.entry import entries_in
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import outcomes, take
from tests.ramp.test_paste import text_of
from tests.ramp.typed import LOG, page_of, words

LATER = "Not saved: the site is busy or being upgraded. Try again in a minute."
NO_COLUMN = ["ALTER TABLE samples_fish RENAME COLUMN told_by TO identified_by"]
NO_TABLE = ["ALTER TABLE samples_unmeasuredcount RENAME TO samples_count"]
# A column that the other release fills and this one leaves empty.
NOT_NULL = [
    "ALTER TABLE samples_fish RENAME COLUMN weight_g TO weight_before",
    "ALTER TABLE samples_fish ADD COLUMN weight_g integer NOT NULL DEFAULT 0",
]
EVERY_CHANGE = pytest.mark.parametrize(
    "change", [NO_COLUMN, NO_TABLE, NOT_NULL], ids=["column", "table", "not_null"]
)


def change_tables(statements):
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for statement in statements:
            cursor.execute(statement)


@pytest.fixture
def batch(party, vials):
    """Return a closing, a fish and a count: the last two each meet a table of their own."""
    closing = entries.common("party_closed", party.party_id) | {"count_in_hand": 1}
    count = entries.common("unmeasured_count", party.party_id)
    count |= {"species": "white-crappie", "count": 3}
    return [closing, entries.fish(party.party_id, vials[0].number), count]


@pytest.fixture
def phone(guide):
    token = make_phone(guide, now=NOW).token
    return Client(headers={"authorization": f"Token {token}"})


def send(phone, batch):
    return phone.post("/api/v1/outbox/", {"entries": batch}, content_type="application/json")


@EVERY_CHANGE
def test_a_phone_is_told_to_come_again_and_nothing_is_kept(phone, batch, change):
    change_tables(change)

    answer = send(phone, batch)

    assert answer.status_code == 503
    assert int(answer["Retry-After"]) == 60
    assert answer["Content-Type"] == "application/json"
    assert answer.json() == {"detail": LATER}
    assert not HeldEntry.objects.exists()
    assert not Entry.objects.exists()
    assert Fish.objects.count() == 0
    assert Party.objects.get().closed_at is None


def test_when_the_tables_fit_again_the_same_batch_is_logged(phone, batch):
    change_tables(NO_TABLE)
    assert send(phone, batch).status_code == 503
    change_tables(["ALTER TABLE samples_count RENAME TO samples_unmeasuredcount"])

    answer = send(phone, batch)

    assert [one["outcome"] for one in answer.json()["results"]] == ["logged"] * 3
    assert UnmeasuredCount.objects.get().count == 3


def test_what_the_tables_refuse_for_good_is_still_held_and_blocks_nobody(guide, party, vials):
    change_tables(["CREATE UNIQUE INDEX one_fish_a_trip ON samples_fish (party_id)"])

    answers = take(guide, *(entries.fish(party.party_id, vial.number) for vial in vials[:2]))

    assert outcomes(answers) == [("logged", ""), ("held", "not_foreseen")]


def test_a_form_says_so_and_keeps_what_was_typed(ramp):
    change_tables(NOT_NULL)

    answer = ramp.post(LOG, words("26 0001 8", length="9.7"))

    page = page_of(answer)
    assert answer.status_code == 422
    assert LATER in page
    assert 'value="9.7"' in page
    assert not HeldEntry.objects.exists()


def test_of_a_pasted_text_nothing_after_the_trouble_is_tried(guide, office, lake, batch):
    """The party comes first; fish taken without it would be held for want of it."""
    opened = entries.party()
    found = entries_in(text_of(guide, opened, entries.fish(opened["party_id"], "2600018")))
    change_tables(NOT_NULL)

    done = services.ingest_pasted(found, lake=lake, actor=office, now=NOW)

    assert [(one.answer, one.problem) for one in done] == [(None, LATER), (None, LATER)]
    assert not HeldEntry.objects.exists()
    assert not Party.objects.filter(party_id=opened["party_id"]).exists()


def test_settling_says_so_and_the_entry_stays_open(client, guide, office, party, vials):
    fish = entries.fish(party.party_id, vials[0].number)
    take(guide, fish, fish | {"entry_id": entries.new_id()})
    held = HeldEntry.objects.get()
    client.force_login(office)
    change_tables(NOT_NULL)

    answer = client.post(
        f"/lakes/lake-orrinbeck/held/{held.pk}/",
        {"way": "number", "number": "26 0009 1", "number_note": "Slip"},
    )

    assert answer.status_code == 422
    assert LATER in page_of(answer)
    assert 'value="Slip"' in page_of(answer)
    held.refresh_from_db()
    assert held.state == HeldEntry.State.OPEN


def test_an_import_ends_with_a_sentence_and_writes_nothing(biologist, lake):
    table = read_table(b"Species,Length (in),Sex,Arm\nWhite crappie,9.4,F,Brindle\n")
    settings = Settings(source="fish.csv", lake="Lake Orrinbeck", season=2026)
    change_tables(NOT_NULL)

    with pytest.raises(CannotImport, match=LATER):
        import_fish(table, settings, actor=biologist, now=NOW, commit=True)

    assert not Fish.objects.exists()
    assert not HeldEntry.objects.exists()
    assert Lake.objects.count() == 1
