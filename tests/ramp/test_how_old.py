"""How old was my fish? The page for whoever has a slip, and nobody's way to anything else."""

import re
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from samples.accounts.throttles import Limit
from samples.models import Age, Lake
from samples.ramp.views import logging_fish, slips
from samples.rules import vial_number
from samples.rules.slip_word import WORDS, is_slip_word, slip_word
from tests.factories import make_fish, make_trip_like
from tests.people import NOW, make_vials
from tests.ramp.test_api import phone_of
from tests.ramp.typed import page_of
from tests.shown import error_codes

PAGE = "/how-old/"


@pytest.fixture
def fish(party, white, vials):
    party.interview_key, party.caught_on = "K-17", party.caught_on
    party.save()
    return make_fish(party, white, inches=10.9, vial=vials[0], note="Scar behind the gill")


def code_of(vial, **more):
    return {"number": vial.number, "word": slip_word(vial.lake.slip_key, vial.number)} | more


def ask(code, client=None):
    return (client or Client()).post(PAGE, code)


class TestAnswer:
    def test_tells_species_length_and_age_and_nothing_else(self, fish, vials, guide):
        before = ask(code_of(vials[0]))
        Age.objects.create(
            fish=fish, standing="agreed", age_years=5, year_class=2021, rule="x", readers=2,
            worked_out_at=NOW,
        )  # fmt: skip
        answer = ask(code_of(vials[0]))

        assert before.context["fish"].age_years is None
        told = answer.context["fish"]
        assert (told.species, told.length, told.age_years) == ("White crappie", "10.9 in", 5)
        page = page_of(answer)
        assert "5 years old" in page
        told_of_no_one = [
            "Brindle",
            "2026-05",
            "May",
            "Ostrow",
            "K-17",
            "Scar",
            "2021",
            "Orrinbeck",
        ]
        assert [words for words in told_of_no_one if words in page] == []

    @pytest.mark.parametrize("typed", ["{}", " {} ", "{}.", "upper", "spaced"])
    def test_the_words_are_read_however_they_are_written(self, fish, vials, typed):
        word = code_of(vials[0])["word"]
        written = {"upper": word.upper(), "spaced": word.replace("-", " ")}.get(
            typed, typed.format(word)
        )

        assert ask(code_of(vials[0], word=written)).context["fish"] is not None

    def test_a_wrong_code_is_answered_alike_whatever_is_wrong_with_it(
        self, fish, vials, season, office
    ):
        [never_used] = make_vials(season, first=500, count=1, by=office)
        codes = {
            "word": code_of(vials[0], word="cedar-heron"),
            "number": code_of(vials[0], number="26 9999 7"),
            "another vial's word": code_of(vials[0], word=code_of(vials[1])["word"]),
            "a vial without a fish": code_of(never_used),
        }
        answers = {name: ask(code) for name, code in codes.items()}

        assert {answer.status_code for answer in answers.values()} == {200}
        assert {answer.context["fish"] for answer in answers.values()} == {None}
        bodies = {re.sub(r'value="[^"]*"', "", page_of(one)) for one in answers.values()}
        assert len(bodies) == 1

    def test_a_wrong_code_asks_the_database_what_a_right_one_asks(self, fish, vials):
        def asked(code):
            with CaptureQueriesContext(
                connection,
            ) as queries:
                ask(code)
            return len(queries)

        ask(code_of(vials[1]))
        right = asked(code_of(vials[0]))
        assert {
            asked(code_of(vials[0], word="cedar-heron")),
            asked(code_of(vials[0], number="26 9999 7")),
        } == {right}

    def test_a_deleted_fish_is_told_of_no_more(self, fish, vials):
        fish.withdrawn, fish.vial = True, None
        fish.save()

        assert ask(code_of(vials[0])).context["fish"] is None

    def test_a_lake_without_a_key_has_no_slips(self, fish, vials):
        Lake.objects.update(slip_key="")

        assert ask({"number": vials[0].number, "word": ""}).status_code == 200
        assert ask(code_of(vials[0], word="cedar-heron")).context["fish"] is None
        assert not is_slip_word("", "", vials[0].number)

    def test_an_empty_code_is_refused_beside_its_fields(self, fish):
        assert error_codes(ask({})) == {"number": ["required"], "word": ["required"]}


class TestGuessing:
    @pytest.fixture(autouse=True)
    def clock(self, monkeypatch):
        """Hold the clock at twenty past: no test runs into the next hour."""
        clock = SimpleNamespace(at=datetime(2026, 5, 6, 17, 20, tzinfo=UTC))
        monkeypatch.setattr(slips, "timezone", SimpleNamespace(now=lambda: clock.at))
        return clock

    @pytest.mark.parametrize("number", ["x", "26", "26 0001 9"])
    def test_what_is_no_vial_number_is_refused_beside_its_field_and_never_counted(
        self, fish, vials, number
    ):
        slip = code_of(vials[0])
        answers = [ask(slip | {"number": number}) for _ in range(40)]

        assert {one.status_code for one in answers} == {200}
        assert error_codes(answers[-1]) == {"number": ["not_a_vial_number"]}
        assert slip["word"] in page_of(answers[-1])
        assert ask(slip).context["fish"] is not None

    def test_a_right_code_may_be_asked_for_as_often_as_one_likes(self, fish, vials):
        answers = [ask(code_of(vials[0])) for _ in range(slips.MOST_OF_A_NETWORK + 1)]

        assert all(one.context.get("fish") for one in answers)

    def test_ends_after_a_few_wrong_tries_and_begins_again_when_it_says(self, fish, vials, clock):
        guesses = [ask(code_of(vials[0], word=f"acorn-{word}")) for word in WORDS[:40]]
        most = slips.MOST_OF_A_NUMBER
        assert [one.status_code for one in guesses] == [200] * most + [429] * (40 - most)

        wait = int(guesses[-1]["Retry-After"])
        assert guesses[-1].context["wait"] == "7 hours"
        clock.at += timedelta(seconds=wait - 1)
        assert ask(code_of(vials[0])).status_code == 429
        clock.at += timedelta(seconds=1)
        assert ask(code_of(vials[0])).context["fish"] is not None

    def test_what_phones_send_meanwhile_pushes_no_count_out(self, fish, vials):
        for word in WORDS[: slips.MOST_OF_A_NUMBER]:
            ask(code_of(vials[0], word=f"acorn-{word}"))
        for place in range(2_000):
            cache.set(f"throttle-phone-{place}", [], 3_600)

        assert ask(code_of(vials[0])).status_code == 429

    def test_one_network_gets_no_further_with_other_numbers(self, fish, vials):
        numbers = [vial_number.make(26, place, 4) for place in range(9000, 9040)]
        statuses = [ask({"number": n, "word": "cedar-heron"}).status_code for n in numbers]

        late = ask(code_of(vials[0]))
        assert statuses.count(200) == slips.MOST_OF_A_NETWORK
        assert (late.status_code, late["Retry-After"]) == (429, str(40 * 60))
        assert late.context["wait"] == "40 minutes"

    def test_of_one_number_ends_from_wherever_it_is_tried(self, fish, vials):
        def guess(place, word):
            return Client(REMOTE_ADDR=f"10.0.{place}.1").post(PAGE, code_of(vials[0], word=word))

        found = [guess(place, f"acorn-{word}") for place, word in enumerate(WORDS[:30])]
        late = guess(99, code_of(vials[0])["word"])

        assert [one.status_code for one in found].count(200) == slips.MOST_OF_A_NUMBER
        assert late.status_code == 429

    def test_a_crowd_that_guesses_is_held_up_and_shuts_nobody_out(self, fish, vials, monkeypatch):
        monkeypatch.setattr(slips, "_EVERYBODY", Limit("slip", 60, slips.HOUR_S))
        numbers = iter(vial_number.make(26, place, 4) for place in range(8000, 9000))

        def guess_from(place):
            client = Client(REMOTE_ADDR=f"10.0.{place}.1")
            answers = [
                ask({"number": next(numbers), "word": "cedar-heron"}, client)
                for _ in range(slips.MOST_OF_A_NETWORK)
            ]
            return [one.status_code for one in answers].count(200)

        answered = [guess_from(place) for place in range(6)]
        angler = Client(REMOTE_ADDR="10.1.0.1")
        mistyped = ask(code_of(vials[0], word="cedar-heron"), angler)
        right = ask(code_of(vials[0]), angler)

        assert answered == [20, 20, 20, 3, 3, 3]
        assert (mistyped.status_code, mistyped.context["fish"]) == (200, None)
        assert right.context["fish"] is not None

    def test_words_of_neighbors_and_lakes_have_nothing_in_common(self, vials, other_lake):
        key = vials[0].lake.slip_key
        words = [slip_word(key, vial.number) for vial in vials]

        assert len(set(words)) == len(words)
        assert other_lake.slip_key != key
        assert slip_word(other_lake.slip_key, vials[0].number) != words[0]


def test_robots_find_nothing(fish):
    page = Client().get(PAGE)

    assert page["X-Robots-Tag"] == "noindex, nofollow"
    assert '<meta name="robots" content="noindex, nofollow">' in page_of(page)
    assert "no-store" in page["Cache-Control"]


def test_a_clerks_phone_knows_the_words_of_its_vials_and_a_guides_does_not(
    clerk, guide, party, fish, vials
):
    vials[3].state, vials[3].issued_to = "issued", clerk
    vials[3].save()
    lists = {
        person: phone_of(person).get("/api/v1/pick-lists/").json() for person in (clerk, guide)
    }

    assert lists[clerk]["slips"] == {vials[3].number: code_of(vials[3])["word"]}
    assert lists[guide]["slips"] == {}


def test_the_page_without_script_tells_a_clerk_the_words_and_a_guide_not(
    client, clerk, guide, party, white, vials, monkeypatch
):
    monkeypatch.setattr(logging_fish, "timezone", SimpleNamespace(now=lambda: NOW))
    found = {}
    for person, vial in ((clerk, vials[4]), (guide, vials[5])):
        trip = make_trip_like(party, opened_by=person)
        make_fish(trip, white, vial=vial)
        client.force_login(person)
        found[person] = client.get("/ramp/").context["last"]

    assert [slip for _, slip in found[clerk]] == [code_of(vials[4])["word"]]
    assert [slip for _, slip in found[guide]] == [""]
