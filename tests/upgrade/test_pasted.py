"""A text that a phone of 0.1.0 gave to the office is still taken in, word for word."""

from pathlib import Path

import pytest

from samples.models import Donor, Fish
from samples.ramp.entry import announced_in, entries_in
from samples.ramp.services import ingest_pasted
from tests.upgrade.corpus import SENDINGS
from tests.upgrade.world import RECEIVED_AT, make_world

TEXT = (Path(__file__).parent / "pasted_0_1_0.txt").read_text(encoding="utf-8")
INTERVIEW = "01976d3c-7000-7000-8000-000000000001"


def test_every_entry_in_it_is_the_one_that_the_phone_would_have_sent():
    sent = {entry["words"]["entry_id"]: entry["words"] for entry in SENDINGS[0]["entries"]}

    found = entries_in(TEXT)

    assert announced_in(TEXT) == len(found) == 8
    assert [one.problem for one in found] == [""] * 8
    same = [one.entry for one in found if str(one.entry.entry_id) != INTERVIEW]
    assert [dict(entry.payload) for entry in same] == [sent[str(entry.entry_id)] for entry in same]


@pytest.mark.django_db
def test_it_is_logged_for_the_person_who_wrote_it():
    world = make_world()
    text = TEXT.replace('"by":"1"', f'"by":"{world.people["clerk"].pk}"')

    done = ingest_pasted(
        entries_in(text), lake=world.lake, actor=world.people["office"], now=RECEIVED_AT
    )

    assert [one.outcome for one in done] == ["logged"] * 8
    assert sorted(Fish.objects.values_list("vial__sequence", flat=True)) == [1, 2, 3, 5]
    assert Donor.objects.get(person=None).name == "L. Brask"
