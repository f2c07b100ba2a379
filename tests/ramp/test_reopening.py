"""A trip that was ended too early is opened again: on its day, and only the one started last."""

from datetime import timedelta

from django.urls import reverse

from samples.models import Fish, Party
from samples.ramp import queries
from samples.ramp.entry import read
from tests.ramp import entries
from tests.ramp.taking import take
from tests.ramp.typed import LOG, OPEN, TRIP, close, page_of, typed_trip, words
from tests.shown import message_tags


def reopening(party):
    return reverse("ramp:reopen_party", args=[party.party_id])


def test_a_trip_ended_today_is_opened_again_and_one_of_yesterday_is_not(ramp, party, clock):
    ramp.post(LOG, words("26 0001 8"))
    close(ramp, count_in_hand="1")
    offered = page_of(ramp.get(OPEN))
    reopen = reopening(party)
    ramp.post(reopen)
    party.refresh_from_db()
    assert (party.closed_at, party.count_in_hand, party.last_number_said) == (None, None, "")
    ramp.post(LOG, words("26 0002 6"))
    close(ramp, count_in_hand="2")
    clock.ahead += timedelta(days=1)
    too_late = ramp.post(reopen, follow=True)
    party.refresh_from_db()

    assert reopen in offered
    assert Fish.objects.filter(party=party).count() == 2
    assert party.closed_at is not None
    assert message_tags(too_late)[-1] == "ended_before_today error"
    assert reopen not in page_of(ramp.get(OPEN))


def test_a_trip_dated_outside_every_season_is_opened_again(ramp, party):
    Party.objects.update(caught_on="2025-12-30")
    close(ramp, count_in_hand="0")

    page = ramp.post(reopening(party), follow=True)

    party.refresh_from_db()
    assert party.closed_at is None
    assert message_tags(page)[-1] == "success"


def test_of_the_trips_ended_today_only_the_one_started_last_is_opened_again(ramp, party, clock):
    close(ramp, count_in_hand="0")
    clock.ahead += timedelta(minutes=1)
    ramp.post(OPEN, typed_trip(caught_on="2026-05-06"))
    later = Party.objects.latest("opened_at")

    while_open = ramp.post(reopening(party), follow=True)
    ramp.post(LOG, words("26 0001 8"))
    close(ramp, count_in_hand="1")
    offered = page_of(ramp.get(OPEN))
    while_closed = ramp.post(reopening(party), follow=True)
    ramp.post(reopening(later))

    for page in (while_open, while_closed):
        assert message_tags(page)[-1] == "not_the_last error"
    assert "Save fish" in page_of(while_open)
    assert reopening(later) in offered
    assert reopening(party) not in offered
    ended = dict(Party.objects.values_list("pk", "closed_at"))
    assert ended[party.pk] is not None
    assert ended[later.pk] is None
    assert Fish.objects.get().party == later


def test_a_phone_does_not_reopen_a_trip_that_one_with_fish_came_after(guide, party, vials):
    later = entries.party()
    logged = entries.fish(later["party_id"], vials[0].number)
    close_it = entries.common("party_closed", party.party_id)
    again = {**TRIP, **entries.common("party_changed", party.party_id), "reopen": "yes"}
    take(guide, close_it, later, logged)

    [refused] = take(guide, again)
    [_, reopened] = take(guide, entries.withdrawal(logged), again | {"entry_id": entries.new_id()})

    assert (refused.outcome, refused.reason, list(refused.errors)) == (
        "refused",
        "not_the_last",
        ["reopen"],
    )
    assert reopened.outcome == "logged"
    party.refresh_from_db()
    assert party.closed_at is None


def test_a_later_trip_that_ended_without_a_fish_is_not_in_the_way(ramp, guide, party, clock):
    ramp.post(LOG, words("26 0001 8"))
    close(ramp, count_in_hand="1")
    clock.ahead += timedelta(minutes=1)
    ramp.post(OPEN, typed_trip(caught_on="2026-05-06"))
    later = Party.objects.latest("opened_at")
    close(ramp, count_in_hand="0")

    assert reopening(party) in page_of(ramp.get(OPEN))
    assert reopening(later) not in page_of(ramp.get(OPEN))
    ramp.post(reopening(party))

    party.refresh_from_db()
    assert party.closed_at is None
    assert queries.open_party_of(guide) == party
    ramp.post(LOG, words("26 0002 6"))
    assert Fish.objects.filter(party=party).count() == 2


def test_no_trip_is_opened_again_beside_an_open_one(ramp, party, clock):
    close(ramp, count_in_hand="0")
    clock.ahead += timedelta(minutes=1)
    ramp.post(OPEN, typed_trip(caught_on="2026-05-06"))

    page = ramp.get(OPEN)

    assert "Cutbank" in page.context["before"]
    assert page.context["before"] in page_of(page)
    assert reopening(party) not in page_of(page)


def test_a_change_of_an_older_phone_keeps_its_fingerprint_and_closes_nothing_anew(guide, party):
    raw = {**TRIP, **entries.common("party_changed", party.party_id)}
    plain, again = read(raw), read(raw | {"reopen": "yes"})
    close_it = entries.common("party_closed", party.party_id)
    take(guide, close_it, raw)
    party.refresh_from_db()

    assert "reopens" not in plain.facts()
    assert plain.fingerprint() != again.fingerprint()
    assert party.closed_at is not None
