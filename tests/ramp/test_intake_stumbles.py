"""What becomes of an entry when the database itself objects."""

from dataclasses import replace

import pytest
from django.db import OperationalError

from samples.models import Entry, Fish, HeldEntry
from samples.ramp import services
from samples.ramp.entry import Withdrawal, read
from samples.ramp.services import TryLater, decide
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import outcomes, take, vial_of

pytestmark = pytest.mark.django_db


@pytest.mark.postgres
@pytest.mark.parametrize("cannot_be_kept", ["\x00", "\ud83d"], ids=["null", "half a sign"])
def test_a_character_that_no_database_keeps_is_refused_and_the_rest_goes_through(
    guide, party, vials, cannot_be_kept
):
    odd = entries.common("unmeasured_count", party.party_id)
    odd |= {"species": "white-crappie", "count": 3}
    fish = entries.fish(party.party_id, vials[0].number)
    unread = replace(read(odd), payload=odd | {"remark": f"big {cannot_be_kept}"})

    answers = services.ingest([unread, read(fish)], author=guide, now=NOW)

    assert outcomes(answers) == [("refused", "unreadable"), ("logged", "")]
    assert not Entry.objects.exists()
    assert not HeldEntry.objects.exists()


def test_a_database_that_goes_away_holds_nothing_and_the_batch_may_come_again(
    guide, party, vials, monkeypatch
):
    fish = entries.fish(party.party_id, vials[0].number)

    def gone(entry, known):
        raise OperationalError("server closed the connection")

    monkeypatch.setitem(decide.DECIDERS, Withdrawal, gone)
    with pytest.raises(TryLater):
        take(guide, fish, entries.withdrawal(fish))

    assert not Fish.objects.exists()
    assert not HeldEntry.objects.exists()


def test_a_shift_before_the_first_number_of_the_year_is_refused_whole(guide, party, vials):
    fish = entries.fish(party.party_id, vials[0].number)
    take(guide, fish)

    answers = take(guide, entries.shift(party.party_id, vials[0].number, by=-1))

    assert outcomes(answers) == [("refused", "shift_blocked")]
    assert vial_of(fish) == vials[0]
