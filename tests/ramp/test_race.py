"""Two sendings at one moment, played out with a lock and not with luck."""

import threading

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from samples.models import Donor, Entry, Fish, HeldEntry, User
from samples.ramp import services
from samples.ramp.entry import read
from tests.people import NOW, make_person
from tests.ramp import entries
from tests.waiting import LONGEST_S, wait_until_somebody_waits_for_a_lock

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def race(guide, first, second, *, second_by=None):
    """Take `first`, and `second` from another connection before the first is committed."""
    heard: list[object] = []

    def send_second():
        try:
            person = User.objects.get(pk=(second_by or guide).pk)
            heard.extend(services.ingest([read(second)], author=person, now=NOW))
        except Exception as problem:
            heard.append(problem)
        finally:
            connection.close()

    thread = threading.Thread(target=send_second)
    with transaction.atomic():
        [answer] = services.ingest([read(first)], author=guide, now=NOW)
        thread.start()
        wait_until_somebody_waits_for_a_lock()
    thread.join(timeout=LONGEST_S)
    return answer, heard[0]


def test_the_same_fish_sent_twice_at_once_is_one_fish(party, guide, vials):
    entry = entries.fish(party.party_id, vials[0].number)

    first, second = race(guide, entry, entry)

    assert (first.outcome, second.outcome) == ("logged", "already_logged")
    assert Fish.objects.count() == 1


def test_two_fish_for_one_vial_at_once_keep_both_stories(party, guide, vials):
    one = entries.fish(party.party_id, vials[0].number)
    other = entries.fish(party.party_id, vials[0].number, length="11.2")

    first, second = race(guide, one, other)

    assert (first.outcome, second.outcome, second.reason) == ("logged", "held", "vial_taken")
    assert Fish.objects.count() == 1
    assert HeldEntry.objects.get().said["length"] == "11.2"


def test_a_fish_without_a_vial_sent_twice_at_once_is_one_fish(party, clerk, vials, lake):
    opened = entries.party(method="creel")
    services.ingest([read(opened)], author=clerk, now=NOW)
    entry = entries.fish(opened["party_id"], "")

    first, second = race(clerk, entry, entry)

    assert (first.outcome, second.outcome) == ("logged", "already_logged")
    assert Fish.objects.count() == 1
    assert Fish.history.count() == 1


@pytest.mark.parametrize("kind", ["party_opened", "withdrawal", "unmeasured_count"])
def test_what_is_not_a_fish_sent_twice_at_once_is_taken_once(kind, party, guide, vials):
    logged = entries.fish(party.party_id, vials[0].number)
    services.ingest([read(logged)], author=guide, now=NOW)
    entry = {
        "party_opened": entries.party(),
        "withdrawal": entries.withdrawal(logged),
        "unmeasured_count": entries.common("unmeasured_count", party.party_id)
        | {"species": "white-crappie", "count": 3},
    }[kind]

    first, second = race(guide, entry, entry)

    assert (first.outcome, second.outcome) == ("logged", "already_logged")
    assert Entry.objects.count() == 1
    assert not HeldEntry.objects.exists()


def test_two_clerks_naming_one_donor_at_once_note_one_donor(lake, clerk, season):
    other_clerk = make_person(lake, "clerk", "S. Bering")
    one = entries.party(method="creel", donor_name="E. Quist")
    other = entries.party(method="creel", donor_name="E. Quist")

    first, second = race(clerk, one, other, second_by=other_clerk)

    assert (first.outcome, second.outcome) == ("logged", "logged")
    assert Donor.objects.filter(name="E. Quist").count() == 1


def test_changing_a_fish_never_waits_in_a_ring_with_the_fish_of_another(party, guide, vials):
    """A batch locks the vial that its withdrawal frees together with those that it names."""
    logged = entries.fish(party.party_id, vials[0].number)
    services.ingest([read(logged)], author=guide, now=NOW)
    asked = []

    with transaction.atomic(), CaptureQueriesContext(connection) as queries:
        batch = [entries.fish(party.party_id, vials[1].number), entries.withdrawal(logged)]
        services.ingest([read(one) for one in batch], author=guide, now=NOW)
        asked += [one["sql"] for one in queries if 'FROM "samples_vial"' in one["sql"]]

    locking = [sql for sql in asked if "FOR UPDATE" in sql]
    assert vials[0].number in locking[0]
    assert vials[1].number in locking[0]


def test_settling_for_two_vials_locks_both_in_one_go(party, guide, office, vials):
    first = entries.fish(party.party_id, vials[1].number)
    other = entries.fish(party.party_id, vials[1].number, length="11.2")
    services.ingest([read(first), read(other)], author=guide, now=NOW)

    with CaptureQueriesContext(connection) as queries:
        services.let_held_fish_keep_vial(
            HeldEntry.objects.get(), other_number=vials[0].number, note="", actor=office, now=NOW
        )

    locking = [one["sql"] for one in queries if "FOR UPDATE" in one["sql"]]
    of_vials = [sql for sql in locking if 'FROM "samples_vial"' in sql]
    assert vials[0].number in of_vials[0]
    assert vials[1].number in of_vials[0]


def test_settling_a_correction_locks_the_vial_that_its_fish_leaves_with_the_others(
    party, guide, office, vials
):
    one, two = (entries.fish(party.party_id, vials[place].number) for place in (0, 1))
    wrong = entries.correction(one, vial=vials[1].number)
    services.ingest([read(said) for said in (one, two, wrong)], author=guide, now=NOW)

    with CaptureQueriesContext(connection) as queries:
        services.let_held_fish_keep_vial(
            HeldEntry.objects.get(), other_number=vials[2].number, note="", actor=office, now=NOW
        )

    locking = [one["sql"] for one in queries if "FOR UPDATE" in one["sql"]]
    of_vials = [sql for sql in locking if 'FROM "samples_vial"' in sql]
    assert [vial.number in of_vials[0] for vial in vials[:3]] == [True] * 3


def test_giving_a_vial_never_waits_in_a_ring_with_a_correction(party, guide, office, vials):
    """Both lock the vial before the fish; whoever comes second finds what the first one did."""
    logged = entries.fish(party.party_id, vials[0].number)
    services.ingest([read(logged)], author=guide, now=NOW)
    other = entries.fish(party.party_id, vials[0].number, length="11.2")
    services.ingest([read(other)], author=guide, now=NOW)
    services.let_both_wait(HeldEntry.objects.get(), note="", actor=office, now=NOW)
    waiting = Fish.objects.get(entry_id=logged["entry_id"])

    with CaptureQueriesContext(connection) as queries:
        services.assign_vial(waiting, number=vials[1].number, actor=office, now=NOW)

    locking = [one["sql"] for one in queries if "FOR UPDATE" in one["sql"]]
    assert 'FROM "samples_vial"' in locking[0]
    assert 'FROM "samples_fish"' in locking[1]
