"""Held entries, as the office settles them."""

import re
from uuid import uuid4

import pytest

from samples.models import Fish, HeldEntry, Vial
from tests.factories import make_held_fish
from tests.people import NOW, make_person
from tests.ramp.typed import LOG, page_of, words
from tests.shown import error_codes, message_tags


class TestHeld:
    @pytest.fixture
    def held(self, ramp, client, office):
        ramp.post(LOG, words("26 0001 8"))
        ramp.post(LOG, words("26 0001 8", length="11.2", sex="M", confirm="vial_used"))
        client.force_login(office)
        return HeldEntry.objects.get()

    def test_both_stories_stand_side_by_side(self, client, held):
        page = page_of(client.get(f"/lakes/lake-orrinbeck/held/{held.pk}/"))

        assert "11.2 in" in page
        assert "9.4 in" in page
        assert page.count("R. Ostrow") == 2

    def test_times_are_the_lakes_and_words_are_the_trades(self, client, held):
        HeldEntry.objects.update(said_at=NOW, received_at=NOW)

        page = page_of(client.get(f"/lakes/lake-orrinbeck/held/{held.pk}/"))

        # 17:30 in Greenwich is 12:30 at the lake in May.
        assert "May 6, 2026, 12:30 PM" in page
        assert "17:30" not in page
        assert "<dt>Total length</dt><dd>11.2</dd>" in page
        assert "entry_id" not in page

    def test_the_office_gives_the_held_fish_another_number(self, client, held, vials):
        address = f"/lakes/lake-orrinbeck/held/{held.pk}/"

        refused = client.post(address, {"way": "number", "number": "26 0001 5"})
        client.post(address, {"way": "number", "number": "26 0009 1"})

        assert refused.status_code == 422
        assert error_codes(refused) == {"number": ["wrong_check_digit"]}
        assert {fish.vial.sequence for fish in Fish.objects.all()} == {1, 9}

    def test_both_may_wait_until_the_vial_was_looked_into(self, client, held, vials):
        address = f"/lakes/lake-orrinbeck/held/{held.pk}/"

        client.post(address, {"way": "wait", "wait_note": "Two otoliths"})

        fish = Fish.objects.order_by("length_hundredths_mm")
        assert [(one.length_as_measured, one.vial) for one in fish] == [
            ("9.4", None),
            ("11.2", None),
        ]
        waiting = client.get("/lakes/lake-orrinbeck/held/").context
        assert set(waiting["fish_waiting"]) == set(fish)
        assert [one.settled_how for one in waiting["settled"]] == ["both_wait"]
        told = page_of(client.get(address))
        assert "9.4 in" in told
        assert "11.2 in" in told
        assert "Two otoliths" in told
        last_hands = {one.history.latest().history_user.display_name for one in fish}
        assert last_hands == {"J. Pell"}
        # Nobody else may use the number meanwhile; the fish found in it gets it back.
        vials[0].refresh_from_db()
        assert vials[0].state == "used"
        client.post(f"/lakes/lake-orrinbeck/held/fish/{fish[1].pk}/", {"number": "26 0001 8"})
        assert Fish.objects.get(length_as_measured="11.2").vial == vials[0]

    def test_an_entry_that_came_again_with_other_words_is_no_second_fish(self, client, held):
        HeldEntry.objects.update(reason="entry_changed", entry_id=Fish.objects.get().entry_id)

        page = page_of(client.get(f"/lakes/lake-orrinbeck/held/{held.pk}/"))

        assert re.findall(r'name="way" value="(\w+)"', page) == ["new", "aside"]
        assert "9.4 in" in page
        assert "11.2 in" in page

    def test_once_settled_both_stories_still_stand_and_the_first_fish_is_on_the_list(
        self, client, held, vials
    ):
        address = f"/lakes/lake-orrinbeck/held/{held.pk}/"
        client.post(address, {"way": "keep", "other_number": "", "keep_note": ""})

        settled = page_of(client.get(address))
        waiting = client.get("/lakes/lake-orrinbeck/held/")
        first = Fish.objects.get(length_as_measured="9.4")
        wrong = client.post(f"/lakes/lake-orrinbeck/held/fish/{first.pk}/", {"number": "12"})
        client.post(f"/lakes/lake-orrinbeck/held/fish/{first.pk}/", {"number": vials[8].number})

        assert "11.2 in" in settled
        assert "9.4 in" in settled
        assert list(waiting.context["fish_waiting"]) == [first]
        assert f"/held/fish/{first.pk}/" in page_of(waiting)
        assert wrong.status_code == 302
        first.refresh_from_db()
        assert first.vial == vials[8]
        assert not client.get("/lakes/lake-orrinbeck/held/").context["fish_waiting"]

    def test_numbers_are_written_as_printed_where_they_can_be_read(self, client, held):
        number = held.said["vial"].replace(" ", "")
        HeldEntry.objects.update(vial=None, said=held.said | {"vial": number})
        readable = page_of(client.get("/lakes/lake-orrinbeck/held/"))
        HeldEntry.objects.update(said=held.said | {"vial": "12"})
        unreadable = page_of(client.get("/lakes/lake-orrinbeck/held/"))

        assert '<span class="vial">26 0001 8</span>' in readable
        assert '<span class="vial">12</span>' in unreadable

    def test_a_vial_noted_empty_is_not_given_to_a_fish_that_waits(
        self, client, held, office, vials
    ):
        client.post(f"/lakes/lake-orrinbeck/held/{held.pk}/", {"way": "keep", "other_number": ""})
        first = Fish.objects.get(length_as_measured="9.4")
        Vial.objects.filter(pk=vials[8].pk).update(
            state="received", received_at=NOW, received_by=office, content="none"
        )

        answer = client.post(
            f"/lakes/lake-orrinbeck/held/fish/{first.pk}/",
            {"number": vials[8].number},
            follow=True,
        )

        assert message_tags(answer)[-1] == "no_otolith error"
        first.refresh_from_db()
        assert first.vial is None

    def test_list_asks_the_same_of_the_database_for_one_and_for_fifty(
        self, client, held, django_assert_max_num_queries
    ):
        for n in range(50):
            about = {"said": held.said, "party": held.party, "vial": held.vial}
            make_held_fish(held.lake, held.said_by, fingerprint=str(n), **about)

        with django_assert_max_num_queries(14):
            page = client.get("/lakes/lake-orrinbeck/held/").context["page"]
        assert page.paginator.count == 51

    def test_an_office_elsewhere_sees_nothing_of_it(self, client, held, other_lake):
        client.force_login(make_person(other_lake, "office", "P. Farr"))

        assert client.get(f"/lakes/lake-orrinbeck/held/{held.pk}/").status_code == 404
        assert client.get(f"/lakes/tamsin-reservoir/held/{held.pk}/").status_code == 404


def test_many_held_entries_come_in_pages_and_are_counted_once(client, office, guide, lake):
    HeldEntry.objects.bulk_create(
        HeldEntry(
            entry_id=uuid4(),
            kind="fish",
            fingerprint=str(number),
            said={"vial": f"no {number:02d}"},
            reason="unknown_vial",
            lake=lake,
            said_by=guide,
            said_at=NOW,
            received_at=NOW,
        )
        for number in range(60)
    )
    client.force_login(office)

    first, second = (
        page_of(client.get("/lakes/lake-orrinbeck/held/", {"page": page})) for page in (1, 2)
    )

    assert "<h1>60 " in first
    assert [page.count("Resolve<span") for page in (first, second)] == [50, 10]
    assert "1 to 50 of 60" in first
    assert "51 to 60 of 60" in second
    assert "no 59" in second
