"""What the grid and the settle list show, and how much they ask of the database."""

from datetime import date

import pytest

from samples.lab import queries, services
from samples.lab.queries import GridCriteria, VialSelection
from tests.factories import make_held_fish
from tests.lab.making import TODAY, put_in_lab, read
from tests.people import NOW, make_vials

YESTERDAY = date(2026, 5, 5)


def numbers(reader, lake, **wanted):
    return [v.number for v in queries.grid_vials(reader, lake, GridCriteria(**wanted), today=TODAY)]


def rows_of(reader, lake):
    vials = queries.with_what_a_row_shows(
        queries.grid_vials(reader, lake, GridCriteria(), today=TODAY)
    )
    return queries.grid_rows(vials, reader, lake, today=TODAY)


def test_only_received_vials_with_a_fish_and_an_otolith_are_offered(
    vials, party, white, lake, reader
):
    put_in_lab(vials[3], party, white)
    put_in_lab(vials[1], party, white, content="two")
    put_in_lab(vials[4], party, white, content="none")
    put_in_lab(vials[5], party, white, content="wrong")
    put_in_lab(vials[6], party, white, content="more_fish")
    put_in_lab(vials[7], party, white, received_at=None, received_by=None)
    put_in_lab(vials[8], party, white, state="lost")
    put_in_lab(vials[9], party, white, caught_on=None)
    assert numbers(reader, lake) == [vials[1].number, vials[3].number]


def test_what_was_read_today_stays_and_what_was_read_before_goes(
    vials, party, white, lake, reader, biologist
):
    for one in vials[:4]:
        put_in_lab(one, party, white)
    read(vials[0], reader, 4, 1, sitting_on=YESTERDAY)
    read(vials[1], reader, 4, 1)
    read(vials[2], biologist, 4, 1, sitting_on=YESTERDAY)
    assert numbers(reader, lake) == [vials[1].number, vials[2].number, vials[3].number]
    assert numbers(reader, lake, selection=VialSelection.SECOND) == [vials[2].number]
    assert numbers(reader, lake, selection=VialSelection.ALL) == [one.number for one in vials[:4]]
    offered = queries.grid_vials(reader, lake, GridCriteria(), today=TODAY)
    assert queries.count_waiting(reader, offered) == 2


def test_the_grid_can_be_narrowed_to_a_species_and_an_arm(vials, party, white, black, lake, reader):
    put_in_lab(vials[0], party, white)
    put_in_lab(vials[1], party, black)
    assert numbers(reader, lake, species_id=black.pk) == [vials[1].number]
    assert numbers(reader, lake, arm_id=party.arm_id) == [vials[0].number, vials[1].number]
    assert numbers(reader, lake, arm_id=lake.arms.get(name="Hobbin").pk) == []


def test_a_row_holds_the_readers_own_reading_and_nobody_elses(vial, fish, lake, reader, biologist):
    read(vial, biologist, 9, 1)
    (row,) = rows_of(reader, lake)
    assert (row.reading, row.result, row.earlier) == (None, None, [])
    read(vial, reader, 4, 4)
    (row,) = rows_of(reader, lake)
    assert (row.reading.annuli, row.result.age) == (4, 5)


def test_a_contested_vial_is_marked_until_it_is_settled(vial, fish, lake, reader, guide):
    held = make_held_fish(lake, guide, vial=vial)
    assert [row.contested for row in rows_of(reader, lake)] == [True]
    held.state, held.settled_at, held.settled_by = "settled", NOW, guide
    held.save()
    assert [row.contested for row in rows_of(reader, lake)] == [False]


def test_nobody_from_another_lake_is_offered_anything(vial, fish, lake, stranger, guide):
    assert numbers(stranger, lake) == []
    assert numbers(guide, lake) == []


@pytest.mark.parametrize("count", [1, 50])
def test_a_page_of_the_grid_asks_the_same_few_questions(
    season, office, party, white, lake, reader, biologist, django_assert_num_queries, count
):
    for one in make_vials(season, first=1, count=count, by=office):
        put_in_lab(one, party, white)
        read(one, reader, 4, 1)
    # Whose lakes, the vials with their fish, the reader's own readings, the species.
    with django_assert_num_queries(4):
        rows = rows_of(reader, lake)
        assert [row.fish.species.name + row.fish.arm.name for row in rows] == [
            "White crappieBrindle"
        ] * count
    assert [row.result.age for row in rows] == [4] * count


@pytest.mark.parametrize("count", [1, 20])
def test_the_settle_list_asks_the_same_few_questions(
    season, office, party, white, lake, reader, biologist, django_assert_num_queries, count
):
    for one in make_vials(season, first=1, count=count, by=office):
        put_in_lab(one, party, white)
        read(one, reader, 4, 1)
        read(one, biologist, 5, 1)
    # Whose lakes, the ages, their readings, the species, and open claims on the vials.
    with django_assert_num_queries(5):
        cards = queries.cards(queries.ages_to_settle(biologist, lake), lake)
        said = [[(str(one.reading.reader), one.result.age) for one in c.readings] for c in cards]
    assert said == [[("T. Vesk", 4), ("N. Aubrey", 5)]] * count


def test_a_card_says_the_rule_that_made_the_age(vial, fish, reader, biologist):
    read(vial, reader, 3, 4)
    card = queries.card_of(fish)
    assert card.rule_sentence == card.readings[0].result.sentence
    read(vial, biologist, 3, 1)
    card = queries.card_of(fish)
    assert card.age.standing == "to_settle"
    assert card.rule_sentence not in [one.result.sentence for one in card.readings]


def test_the_history_tells_what_was_said_first(vial, fish, reader, biologist):
    read(vial, reader, 4, 1)
    read(vial, reader, 5, 1, note="Twice")
    services.decide_age(fish=fish, age_years=4, note="Sectioned", actor=biologist, now=NOW)
    lines = [(line.who, line.what) for line in queries.history_of(fish)]
    for who, what in (
        ("T. Vesk", "4 annuli, margin 1"),
        ("T. Vesk", "5 annuli, margin 1"),
        ("T. Vesk", "(Twice)"),
        ("N. Aubrey", "(Sectioned)"),
    ):
        assert [one for one, line in lines if what in line] == [who]


def test_decided_ages_that_were_read_otherwise_since_are_listed(
    vial, fish, lake, reader, biologist
):
    read(vial, reader, 4, 1, sitting_on=YESTERDAY)
    decided = services.decide_age(
        fish=fish, age_years=5, note="Sectioned", actor=biologist, now=NOW
    )
    assert queries.decided_and_read_since(biologist, lake) == []
    read(vial, reader, 6, 1, now=NOW.replace(hour=20))
    assert queries.decided_and_read_since(biologist, lake) == [decided]
