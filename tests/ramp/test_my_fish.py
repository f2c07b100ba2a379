"""A person's own fish and their ages: on the page, and as a phone keeps them."""

from importlib import import_module

import pytest

from samples.models import Age, Fish, Vial
from samples.ramp import queries
from tests.factories import make_fish, make_trip_like
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import take
from tests.ramp.test_api import phone_of
from tests.ramp.typed import page_of

# The package calls a function the same.
module = import_module("samples.ramp.queries.my_fish")
MINE = "/ramp/mine/"
KEPT = "/api/v1/my-fish/"


def kept_by(person):
    return queries.my_fish_for_phone(person, now=NOW)["fish"]


def age(fish, years, standing="agreed"):
    Age.objects.create(
        fish=fish,
        standing=standing,
        age_years=years,
        year_class=2026 - years,
        rule="given",
        readers=2,
        worked_out_at=NOW,
    )


@pytest.fixture
def fish(guide, party, white, black, vials):
    """Return a guide's fish: aged, read once, at the office, at hand, of last year, and held."""
    Vial.objects.filter(pk=vials[2].pk).update(state="received", received_at=NOW, received_by=guide)
    for vial in vials:
        vial.refresh_from_db()
    old = make_fish(party, white, inches=12.6, vial=vials[0], length_as_measured="12.6")
    age(old, 9)
    once = make_fish(party, black, inches=8.1, vial=vials[1])
    age(once, 1, "one_reader")
    make_fish(party, white, inches=9.4, vial=vials[2])
    make_fish(party, white, inches=7.0)
    before = make_trip_like(party, caught_on="2025-05-06", opened_by=guide)
    make_fish(before, white, inches=10.9, vial=vials[4])
    take(guide, entries.fish(party.party_id, vials[0].number, length="11.2"))


def shown(client, query=""):
    page = client.get(MINE + query)
    return [one["length"] for one, _, _ in page.context["lines"]], page


@pytest.mark.usefixtures("fish")
class TestPage:
    def test_says_how_many_are_aged_and_how_old_the_oldest_is(self, ramp):
        page = ramp.get(MINE)

        assert page.context["counts"] == "2 aged, oldest 9 years"
        assert page.context["counts"] in page_of(page)

    @pytest.mark.parametrize(
        ("query", "first", "count"),
        [
            ("", "11.2 in", 6),
            ("?order=longest", "12.6 in", 6),
            ("?order=oldest", "12.6 in", 6),
            ("?species=Black crappie", "8.1 in", 1),
            ("?year=2025", "10.9 in", 1),
            ("?order=longest&species=White crappie&year=2026", "12.6 in", 4),
            ("?order=weight&species=Carp&year=x", "11.2 in", 6),
        ],
    )
    def test_is_in_the_order_and_of_the_species_and_year_that_were_chosen(
        self, ramp, query, first, count
    ):
        lengths, page = shown(ramp, query)

        assert (lengths[0], len(lengths)) == (first, count)
        assert first in page_of(page)

    def test_each_fish_says_how_far_it_has_come(self, guide):
        standings = {one["length"]: one["standing"] for one in kept_by(guide)}

        assert standings == {
            "11.2 in": "held",
            "12.6 in": "aged",
            "8.1 in": "one_reader",
            "9.4 in": "at_office",
            "7.0 in": "measured",
            "10.9 in": "with_you",
        }
        assert set(standings.values()) <= queries.STANDINGS.keys()

    def test_is_as_dark_as_the_phone_was_set(self, ramp):
        ramp.post("/ramp/screen/", {"scheme": "dark"})

        assert 'data-scheme="dark"' in page_of(ramp.get(MINE))


def test_a_phone_keeps_the_same_fish_with_their_date(guide, second_guide, fish):
    kept = phone_of(guide).get(KEPT).json()
    others = phone_of(second_guide).get(KEPT).json()

    assert kept["fish"] == kept_by(guide)
    assert kept["as_of"].startswith("2026-05-06")
    assert others["fish"] == []


def test_a_fish_sent_again_with_other_words_is_one_fish(guide, party, vials):
    logged = entries.fish(party.party_id, vials[0].number)
    take(guide, logged, logged | {"length": "11.2"})

    assert [one["length"] for one in kept_by(guide)] == ["9.4 in"]
    assert Fish.objects.count() == 1


def test_pages_follow_one_another_with_held_fish_in_their_places(ramp, guide, party, fish, white):
    for place in range(100):
        make_fish(party, white, inches=8.0 + place / 10)

    seen = []
    for number in (1, 2, 3):
        lengths, page = shown(ramp, f"?order=longest&page={number}")
        assert len(page.context["lines"]) == len(lengths) <= 50
        seen += lengths
    whole = [float(one.removesuffix(" in")) for one in seen]

    assert (len(seen), seen.count("11.2 in")) == (106, 2)
    assert whole == sorted(whole, reverse=True)


def test_a_page_reads_no_more_fish_than_it_shows(ramp, party, white, monkeypatch):
    for _ in range(60):
        make_fish(party, white)
    read = []
    make = module._own_fish

    def watched(fish, facts):
        read.append(fish.pk)
        return make(fish, facts)

    monkeypatch.setattr(module, "_own_fish", watched)

    lengths, page = shown(ramp, "?page=2")

    assert (len(lengths), page.context["page"].paginator.count) == (10, 60)
    assert len(read) == 10


def test_a_phone_keeps_the_last_caught_and_undated_ones_after_them(
    guide, party, white, vials, monkeypatch
):
    monkeypatch.setattr(module, "MOST_KEPT", 2)
    make_fish(party, white, inches=7.0, caught_on=None)
    logged = entries.fish(party.party_id, vials[0].number)
    take(guide, logged, logged | {"length": "11.2"})
    Fish.objects.filter(vial=vials[0]).update(caught_on="2026-05-01")
    make_fish(party, white, inches=8.0)
    make_fish(party, white, inches=9.0)

    kept = kept_by(guide)

    # The second version of the older fish, which is on record, is not another one.
    assert [one["length"] for one in kept] == ["9.0 in", "8.0 in"]
    monkeypatch.setattr(module, "MOST_KEPT", 9)
    every = kept_by(guide)
    assert every[-1]["length"] == "7.0 in"


def test_asks_the_database_the_same_however_many_fish_there_are(
    guide, party, white, django_assert_num_queries
):
    for _ in range(30):
        make_fish(party, white)

    with django_assert_num_queries(7):
        kept_by(guide)
    # What the lake's other fish are like is known until its data change.
    with django_assert_num_queries(3):
        kept_by(guide)


class TestCompared:
    """A fish beside the lake's average at its age, of 10 fish or more, and its season's records."""

    def make_aged(self, party, white, lengths, years=3):
        for inches in lengths:
            age(make_fish(party, white, inches=inches, progress=5), years)

    def of(self, person, length):
        return next(one["compared"] for one in kept_by(person) if one["length"] == length)

    def test_takes_ten_fish_of_the_age(self, guide, party, white):
        self.make_aged(party, white, [10.0] * 8)
        mine = make_fish(party, white, inches=12.0, progress=5)
        age(mine, 3)
        assert self.of(guide, "12.0 in") == []

        self.make_aged(party, white, [10.0])

        against, longest, oldest = self.of(guide, "12.0 in")
        assert ("1.8" in against, "10.2" in against, "10)" in against) == (True, True, True)
        assert longest != oldest

    def test_another_persons_longer_and_older_fish_leaves_one_without_a_record(
        self, guide, second_guide, party, white
    ):
        self.make_aged(party, white, [10.0] * 10)
        other = make_trip_like(party, opened_by=second_guide)
        age(make_fish(other, white, inches=13.0, progress=5), 5)

        assert len(self.of(guide, "10.0 in")) == 1
