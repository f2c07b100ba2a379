"""What people at the ramp and in the office read, word for word."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from samples.accounts.links import day_of_links, make_link, make_phone, revoke_link
from samples.accounts.throttles import PerPhone
from samples.models import Fish, HeldEntry, Party
from samples.ramp.services import TryLater
from samples.rules import vial_number
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import take
from tests.ramp.typed import LOG, OPEN, close, page_of, typed_trip, words

HELD = "/lakes/lake-orrinbeck/held/"
PASTE = f"{HELD}paste/"
OUTBOX = "/api/v1/outbox/"


def phone_of(person, link=None):
    token = make_phone(person, now=NOW, link=link).token
    return Client(headers={"authorization": f"Token {token}"})


def send(phone, *batch):
    return phone.post(OUTBOX, {"entries": list(batch)}, content_type="application/json").json()


class TestPhone:
    def test_what_a_phone_is_told_to_do(self, guide, party, biologist, vials, monkeypatch):
        fish = entries.fish(party.party_id, "")
        phone = phone_of(guide)
        day = day_of_links(timezone.now()) - timedelta(days=5)
        made_at = timezone.now() - timedelta(days=90)
        ended = make_link(guide, made_by=biologist, good_until=day, now=made_at).link
        late = entries.fish(party.party_id, "", written_at=timezone.now().isoformat())

        too_many = send(phone, *[fish] * 51)
        too_big = phone.generic(
            "POST", OUTBOX, b" " * 4_200_000 + b"{}", content_type="application/json"
        )
        monkeypatch.setattr(PerPhone, "rate", "1/min", raising=False)
        hasty = phone_of(guide)
        send(hasty, fish)
        too_soon = send(hasty, fish)

        assert too_many["entries"] == ["Send at most 50 entries at a time."]
        assert too_big.json()["detail"] == "This is more than 4 MB. Send fewer entries at a time."
        assert too_soon["detail"].startswith("Too much at once. This phone sends again in")
        assert send(phone_of(guide, ended), late)["detail"] == (
            "This link has ended. Open your new link; nothing on the phone is lost."
        )

    def test_why_a_phone_gets_no_token(self, db, guide, biologist):
        made = make_link(guide, made_by=biologist, good_until=date(2026, 12, 31), now=NOW)
        revoke_link(made.link, now=NOW)

        revoked, nobody = (
            Client().post("/api/v1/phones/", typed, content_type="application/json").json()
            for typed in ({"link": made.token}, {})
        )

        assert revoked["detail"] == "This link was revoked. Ask the biologist for a new one."
        assert nobody["detail"] == "Open your personal link, or sign in first."

    def test_by_which_link_a_phone_came(self, client, guide, biologist):
        link = make_link(guide, made_by=biologist, good_until=date(2026, 12, 31), now=NOW).link
        make_phone(guide, now=NOW, link=link, name="Android")
        make_phone(guide, now=NOW, name="Tablet")
        client.force_login(biologist)

        page = page_of(client.get(f"/lakes/lake-orrinbeck/people/{guide.pk}/"))

        assert "Android, since May 6, 2026, by the link made May 6, 2026; not heard yet" in page
        assert "Tablet, since May 6, 2026, without a link; not heard yet" in page

    def test_trouble_that_passes(self):
        assert str(TryLater()).endswith("Try again in a minute.")


class TestEntries:
    def test_what_is_wrong_with_an_entry(self, guide, lake, party, vials):
        taken = entries.fish(party.party_id, vials[0].number)
        held = entries.fish(party.party_id, vials[0].number, length="11.2")
        take(guide, taken, held, entries.withdrawal(taken))
        codes = ["missing_point", "length_out_of_range", "millimetres_meant"]
        wrong = {
            "from_vial": entries.shift(party.party_id, vials[0].number, 1),
            "caught_on": entries.party(caught_on="2025-12-30"),
            "vial": entries.fish(party.party_id, ""),
            "length": entries.fish(party.party_id, vials[2].number, length="900", confirmed=codes),
        }

        told = {name: take(guide, raw)[0].errors[name][0] for name, raw in wrong.items()}

        assert told.pop("length").endswith("Measure again.")
        assert told == {
            "from_vial": "The office is checking the fish in 26 0001 8. Start from a later fish.",
            "caught_on": (
                "December 30, 2025 is outside the season, January 1, 2026 to "
                "December 31, 2026. When was the fish caught?"
            ),
            "vial": "Enter the number on the vial's label.",
        }


class TestLog:
    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"vial": "26 O001 8"}, "digits only"),
            ({"vial": "999"}, "No vial in your hands ends in 999."),
            ({"vial": "999"}, "Enter the whole number, such as 26 0001 8."),
            ({"vial": "1"}, "More than one vial in your hands ends so"),
            ({"vial": "26 0001 5"}, "26 0001 5 is not one of our vial numbers."),
            ({"vial": vial_number.make(2026, 9001, 4)}, "Lake Orrinbeck has no vial 26 9001"),
            ({"length": "9.45"}, "to the tenth"),
            ({"length": "nine"}, "as one number, such as 10.1."),
            ({"length": ""}, "Enter length in inches, such as 10.1."),
            ({"length": "1.01"}, "Enter inches to the tenth, such as 10.1."),
            ({"length": "94"}, "Is this 9.4 inches?"),
            ({"sex": ""}, "Choose a sex, or Not known."),
            ({"species": ""}, "Choose a species."),
        ],
        ids=str,
    )
    def test_what_to_type_instead(self, ramp, typed, sentence):
        assert sentence in page_of(ramp.post(LOG, words("26 0001 8") | typed))

    def test_a_vial_that_has_a_fish(self, ramp):
        first = words("26 0001 8")
        ramp.post(LOG, first)
        used = words("26 0001 8", length="11.0")

        asked = page_of(ramp.post(LOG, used))
        held = page_of(ramp.post(LOG, used | {"confirm": "vial_used"}, follow=True))
        again = page_of(ramp.post(LOG, first | {"length": "10.2"}))

        assert "26 0001 8 already has a fish, your White crappie of 9.4 in." in asked
        assert "The office will check this one. Another fish is logged in this vial." in held
        assert "Is what you typed now a correction of it, or a new fish?" in again

    def test_a_vial_of_somebody_elses_hands_names_nobody(self, ramp, vials, second_guide):
        for vial in vials[:2]:
            vial.issued_to = second_guide
            vial.save()
        their_own = entries.party()
        take(second_guide, their_own, entries.fish(their_own["party_id"], vials[1].number))

        asked = page_of(ramp.post(LOG, words("26 0001 8")))
        used = page_of(ramp.post(LOG, words("26 0002 6")))

        assert "26 0001 8 was not issued to you." in asked
        assert "26 0002 6 already has a fish. Read the label again." in used


class TestTrip:
    def test_dates(self, ramp, clock):
        clock.ahead += timedelta(days=1)

        future = page_of(ramp.post(OPEN, typed_trip(caught_on="2093-05-06")))
        last_year = page_of(ramp.post(OPEN, typed_trip(caught_on="2025-05-06")))
        still_open = page_of(ramp.get(LOG))

        assert "The date is after today. When was the fish caught?" in future
        assert "May 6, 2025 is last year. When was the fish caught?" in last_year
        assert "The trip of May 6, 2026 is still open" in still_open

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"arm": ""}, "Choose an arm."),
            ({"caught_on": "yesterday"}, "Enter the date as May 6, 2026."),
            ({"how_chosen": "every_nth"}, "Enter the sampling interval, such as 2"),
        ],
    )
    def test_what_to_type_to_start_one(self, ramp, typed, sentence):
        started = ramp.post(OPEN, typed_trip(**typed))

        assert sentence in page_of(started)

    def test_the_next_trip_ends_this_one(self, ramp, party, clock):
        ramp.post(LOG, words("26 0001 8"))
        before = page_of(ramp.get(OPEN))
        clock.ahead += timedelta(days=1)

        page = page_of(ramp.post(OPEN, typed_trip(), follow=True))

        assert "The trip Brindle, May 6, 2026 ends when you start." in before
        assert "Cutbank: the trip is open." in page
        assert "The trip Brindle, May 6, 2026 ended with 1 fish." in page

    def test_interviews_go_by_their_key(self, client, clerk, vials):
        client.force_login(clerk)
        creel = {"method": "creel", "caught_on": "2026-05-06"}
        client.post(OPEN, typed_trip(**creel, interview_key="K-09"))

        second = page_of(client.get(OPEN))
        page = page_of(client.post(OPEN, typed_trip(**creel, interview_key="K-10"), follow=True))

        assert "Interview K-09 ends when you start." in second
        assert "Interview K-09 ended with 0 fish." in page

    def test_a_tally_that_is_undone(self, client, clerk, white, vials):
        client.force_login(clerk)
        client.post(OPEN, typed_trip(method="creel", caught_on="2026-05-06"))
        count = entries.new_id()
        typed = {"species": "white-crappie", "count": "4", "entry_id": count}
        client.post("/ramp/party/count/", typed)

        page = page_of(client.post(f"/ramp/count/{count}/undo/", follow=True))

        assert "4 White crappie no longer counted." in page

    def test_another_arm(self, ramp, party):
        ramp.post(LOG, words("26 0001 8"))

        asked = page_of(
            ramp.post("/ramp/party/change/", typed_trip(arm="Hobbin", caught_on="2026-05-06"))
        )

        assert "did you move there after them?" in asked

    def test_the_end(self, ramp):
        for number in ("26 0001 8", "26 0003 4"):
            ramp.post(LOG, words(number))

        skipped = page_of(close(ramp, count_in_hand="3"))
        differs = page_of(close(ramp, count_in_hand="3", confirm="vials_skipped"))

        assert "26 0002 6 was skipped. Is it empty?" in skipped
        assert "3 in hand, but 2 logged with a vial." in differs

    def test_a_vial_with_two_fish(self, ramp, party, guide):
        ramp.post(LOG, words("26 0001 8"))
        take(guide, entries.fish(party.party_id, "26 0001 8", length="9.9"))

        page = page_of(close(ramp, count_in_hand="1"))

        assert "26 0001 8 has two fish. Which vial is the other fish in?" in page
        assert "Show the fish" in page

    def test_reopening(self, ramp, party, clock):
        close(ramp, count_in_hand="0")
        reopen = f"/ramp/party/{party.party_id}/reopen/"
        opened = page_of(ramp.post(reopen, follow=True))
        clock.ahead += timedelta(minutes=1)
        ramp.post(OPEN, typed_trip(caught_on="2026-05-06"))
        not_last = page_of(ramp.post(reopen, follow=True))
        clock.ahead += timedelta(days=1)
        Party.objects.filter(pk=party.pk).update(closed_at=NOW)
        too_late = page_of(ramp.post(reopen, follow=True))

        assert "Brindle: the trip is open again." in opened
        assert "A later trip has fish" in not_last
        assert "A trip can be reopened only on the day it ended." in too_late


class TestHeld:
    @pytest.fixture
    def held(self, party, guide, vials):
        take(
            guide,
            entries.fish(party.party_id, vials[0].number),
            entries.fish(party.party_id, vials[0].number, length="11.2"),
        )
        return HeldEntry.objects.get()

    def test_fish_of_one_length_are_told_apart_by_the_slip_alone(self, desk, held):
        different = page_of(desk.get(f"{HELD}{held.pk}/"))
        HeldEntry.objects.update(said=held.said | {"length": "9.4"})
        alike = page_of(desk.get(f"{HELD}{held.pk}/"))

        assert "the size of the otoliths: one fish is 11.2 in, the other 9.4 in." in different
        assert "Check the paper slip in the vial." in alike

    def test_the_list_counts(self, desk, held):
        assert "1 entry to resolve" in page_of(desk.get(HELD))
        desk.post(f"{HELD}{held.pk}/", {"way": "wait", "wait_note": ""})

        page = page_of(desk.get(HELD))

        assert "No entries to resolve" in page
        assert "2 fish wait for a vial" in page
        assert "Both fish saved without a vial" in page

    def test_what_cannot_be_done_with_an_entry(self, desk, held, vials):
        refused = page_of(desk.post(f"{HELD}{held.pk}/", {"way": "number", "number": "26 0001 5"}))
        HeldEntry.objects.update(reason="unknown_party")
        trip = {"way": "trip", "arm": "", "caught_on": "", "method": "angler_kept"}
        asked = page_of(desk.post(f"{HELD}{held.pk}/", trip))

        assert "26 0001 5 is not one of our vial numbers." in refused
        assert "Enter the date caught" in asked
        assert "Choose an arm." in asked


class TestPaste:
    @pytest.fixture
    def said(self, vials):
        opened = entries.party()
        return [opened, *(entries.fish(opened["party_id"], one.number) for one in vials[:3])]

    @pytest.fixture
    def paste(self, desk):
        def paste(person, said):
            from tests.ramp.test_paste import text_of

            return page_of(desk.post(PASTE, {"text": text_of(person, *said)}))

        return paste

    def test_what_became_of_each(self, paste, guide, said):
        clash = entries.fish(said[0]["party_id"], said[1]["vial"], length="11.2")

        first, again = paste(guide, [*said, clash]), paste(guide, said)

        assert "4 added, 1 to resolve." in first
        assert first.count("Added.") == 4
        assert ". Another fish is logged in this vial." in first
        assert "4 already here." in again
        assert again.count("Already here; counts once.") == 4
        assert Fish.objects.count() == 3

    def test_why_not(self, paste, desk, guide, reader, other_lake, said):
        cut = page_of(desk.post(PASTE, {"text": '{"by":"1","entry":'}))
        theirs = paste(reader, said)
        elsewhere = paste(guide, [said[0] | {"lake": other_lake.slug}])
        missing = paste(guide, said[:3])
        nothing = page_of(desk.post(PASTE, {"text": "Two fish, both white"}))
        empty = page_of(desk.post(PASTE, {"text": ""}))

        assert "Part of this entry is missing. Ask for the text again." in cut
        assert "The person who logged it is not set up here." in theirs
        assert "4 not added." in theirs
        assert "It belongs to another lake. Paste it in at the office there." in elsewhere
        assert "The text says that it has 4 entries, and 3 came." in missing
        assert "This text has no entry. Paste all of it, to its last line." in nothing
        assert "Paste the text that the phone gave." in empty

    def test_a_withdrawal_of_what_is_not_here(self, paste, guide, said):
        page = paste(guide, [entries.withdrawal(entries.fish(said[0]["party_id"], ""))])

        assert "Fish deleted: a fish not here" in page
        assert ". The fish or count it changes has not arrived." in page
