"""Every kind of held entry is brought to a good end by the office, through its pages alone."""

import json

import pytest

from samples.models import Fish, HeldEntry, Party, Vial
from samples.ramp import services
from samples.ramp.entry import read
from samples.rules import vial_number
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.settled import HELD, resolve, ways
from tests.ramp.typed import page_of
from tests.shown import error_codes


@pytest.fixture
def send(guide):
    """Send entries as the guide's phone does: send(fish, ...)."""

    def take(*said):
        return services.ingest([read(one) for one in said], author=guide, now=NOW)

    return take


class TestFishWithoutItsTrip:
    @pytest.fixture
    def opened(self):
        return entries.party(arm="Cutbank", caught_on="2026-05-04")

    @pytest.fixture
    def stray(self, send, opened, vials):
        """Two fish of a trip that never came."""
        both = [entries.fish(opened["party_id"], vial.number) for vial in vials[:2]]
        send(*both)
        return list(HeldEntry.objects.order_by("pk"))

    def trip(self, lake, **more):
        arm = lake.arms.get(name="Cutbank")
        return {"arm": arm.pk, "caught_on": "2026-05-04", "method": "angler_kept", **more}

    def test_gets_arm_and_date_and_the_others_of_the_trip_with_it(self, desk, lake, guide, stray):
        assert [held.reason for held in stray] == ["unknown_party"] * 2
        assert ways(desk, stray[0]) == ["trip", "aside"]

        resolve(desk, stray[0], "trip", **self.trip(lake, trip_note="Asked R. Ostrow"))

        assert {(fish.arm.name, str(fish.caught_on)) for fish in Fish.objects.all()} == {
            ("Cutbank", "2026-05-04")
        }
        assert {fish.logged_by for fish in Fish.objects.all()} == {guide}
        assert Party.objects.get().opened_by == guide
        settled = HeldEntry.objects.values_list("settled_how", "note")
        assert list(settled) == [("trip_given", "Asked R. Ostrow")] * 2

    def test_a_day_or_arm_left_out_is_asked_for_beside_its_field(self, desk, lake, stray):
        wrong = resolve(desk, stray[0], "trip", **self.trip(lake, caught_on="", arm=""))

        assert wrong.status_code == 422
        assert error_codes(wrong) == {"caught_on": ["required"], "arm": ["required"]}
        assert not Fish.objects.exists()

    def test_an_arm_of_another_lake_is_none(self, desk, lake, other_lake, stray):
        elsewhere = other_lake.arms.first()

        wrong = resolve(desk, stray[0], "trip", **self.trip(lake, arm=elsewhere.pk))

        assert wrong.status_code == 422
        assert not Party.objects.exists()

    def test_fish_that_come_later_go_straight_in(self, desk, lake, send, stray, opened, vials):
        resolve(desk, stray[0], "trip", **self.trip(lake))

        [answer] = send(entries.fish(opened["party_id"], vials[4].number))

        assert answer.outcome == services.Outcome.LOGGED

    def test_the_trips_own_words_can_be_taken_when_they_come_after_all(
        self, desk, lake, send, stray, opened
    ):
        resolve(desk, stray[0], "trip", **self.trip(lake, arm=lake.arms.get(name="Hobbin").pk))

        [answer] = send(opened)
        late = HeldEntry.objects.get(kind="party_opened")
        assert (answer.outcome, ways(desk, late)) == (services.Outcome.HELD, ["new", "aside"])
        resolve(desk, late, "new")

        assert Party.objects.get().arm.name == "Cutbank"
        assert {fish.arm.name for fish in Fish.objects.all()} == {"Cutbank"}

    def test_one_of_an_unlikely_length_waits_until_somebody_says_that_it_is_right(
        self, desk, lake, send, opened, vials
    ):
        send(*[
            entries.fish(opened["party_id"], vials[0].number),
            entries.fish(opened["party_id"], vials[1].number, length="39.4"),
        ])  # fmt: skip
        usual, long = HeldEntry.objects.order_by("pk")
        resolve(desk, usual, "trip", **self.trip(lake))

        assert Fish.objects.count() == 1
        assert ways(desk, long) == ["written", "number", "aside"]
        resolve(desk, long, "written")
        assert Fish.objects.filter(length_as_measured="39.4").count() == 1

    def test_what_was_said_of_a_trip_before_it_came_is_applied_afterwards(
        self, desk, lake, send, stray, opened
    ):
        send({**entries.common("party_closed", opened["party_id"]), "count_in_hand": 2})
        closed = HeldEntry.objects.get(kind="party_closed")
        resolve(desk, stray[0], "trip", **self.trip(lake))

        assert ways(desk, closed) == ["in", "aside"]
        resolve(desk, closed, "in")

        assert Party.objects.get().count_in_hand == 2

    def test_a_correction_of_a_fish_that_never_came_is_saved_as_that_fish(
        self, desk, lake, send, opened, vials
    ):
        fish = entries.fish(opened["party_id"], vials[0].number)
        send(opened, entries.correction(fish, length="10.6"))
        held = HeldEntry.objects.get()

        assert (held.reason, ways(desk, held)) == ("unknown_fish", ["written", "number", "aside"])
        resolve(desk, held, "written")

        one = Fish.objects.get()
        assert (str(one.entry_id), one.length_as_measured) == (fish["entry_id"], "10.6")


class TestEntryThatCameTwice:
    @pytest.fixture
    def twice(self, send, party, vials):
        first = entries.fish(party.party_id, vials[0].number)
        send(first)
        send({**first, "length": "10.6", "vial": vials[1].number})
        return HeldEntry.objects.get()

    def test_its_new_words_are_taken(self, desk, guide, twice, vials):
        assert ways(desk, twice) == ["new", "aside"]

        resolve(desk, twice, "new", new_note="The second is right")

        fish = Fish.objects.get()
        assert (fish.length_as_measured, fish.vial) == ("10.6", vials[1])
        assert [row.length_as_measured for row in fish.history.order_by("history_id")] == [
            "9.4",
            "10.6",
        ]
        assert Vial.objects.get(pk=vials[0].pk).state == "issued"
        twice.refresh_from_db()
        assert (twice.settled_how, twice.fish) == ("new_words", fish)

    def test_or_the_first_words_stay(self, desk, twice):
        resolve(desk, twice, "aside", note="The first is right")

        assert Fish.objects.get().length_as_measured == "9.4"

    def test_new_words_that_name_another_fishs_vial_are_refused_and_nothing_is_lost(
        self, desk, send, party, twice, vials
    ):
        send(entries.fish(party.party_id, vials[1].number))

        wrong = resolve(desk, twice, "new")

        assert wrong.status_code == 422
        assert error_codes(wrong) == {"new_note": ["vial_taken"]}
        assert Fish.objects.get(vial=vials[0]).length_as_measured == "9.4"


IN_ANOTHER_TRIP = {"party_id": entries.new_id(), "length": "12.0"}


class TestFishOfSomebodyElse:
    """What a phone may not change, the office does not change in its name."""

    @pytest.fixture
    def theirs(self, second_guide, party, send, vials):
        """Return a fish of the guide's, and a way for another person to speak of it:
        theirs(*said).
        """
        fish = entries.fish(party.party_id, vials[0].number)
        send(fish)

        def say(said):
            own = entries.party(IN_ANOTHER_TRIP["party_id"])
            services.ingest([read(own), read(said(fish))], author=second_guide, now=NOW)
            return HeldEntry.objects.get()

        return say

    @pytest.mark.parametrize(
        ("way", "said"),
        [
            ("in", entries.withdrawal),
            ("written", lambda fish: entries.correction(fish | IN_ANOTHER_TRIP)),
            ("new", lambda fish: fish | IN_ANOTHER_TRIP),
        ],
    )
    def test_stays_as_it_is(self, desk, theirs, way, said):
        held = theirs(said)

        refused = resolve(desk, held, way)

        assert refused.status_code == 422
        assert list(error_codes(refused).values()) == [["not_theirs"]]
        fish = Fish.objects.get()
        assert (fish.length_as_measured, fish.withdrawn) == ("9.4", False)


class TestCountDeletedBeforeItCame:
    def test_is_deleted_once_it_is_here(self, desk, send, party):
        counted = {
            **entries.common("unmeasured_count", party.party_id),
            "species": "white-crappie",
            "count": 7,
        }
        send(entries.withdrawal(counted), counted)
        held = HeldEntry.objects.get()
        assert (held.reason, party.unmeasured.get().withdrawn) == ("unknown_fish", False)

        resolve(desk, held, "in")

        assert party.unmeasured.get().withdrawn
        held.refresh_from_db()
        assert (held.state, held.fish) == ("settled", None)


class TestVoidVial:
    @pytest.mark.parametrize("state", ["void", "lost"])
    def test_is_brought_back_with_its_fish(self, desk, office, send, party, vials, state):
        Vial.objects.filter(pk=vials[0].pk).update(state=state, note="torn")
        send(entries.fish(party.party_id, vials[0].number))
        held = HeldEntry.objects.get()
        assert (held.reason, ways(desk, held)) == ("void_vial", ["back", "number", "aside"])

        resolve(desk, held, "back", back_note="Guide has it")

        vial = Vial.objects.get(pk=vials[0].pk)
        assert (vial.state, vial.note, vial.fish) == ("used", "", Fish.objects.get())
        assert vial.history.filter(history_user=office, note="").exists()


class TestLakeWithItsOwnRange:
    """12.4 in is usual for a white crappie elsewhere; this lake asks about it."""

    @pytest.fixture(autouse=True)
    def own_range(self, lake, white):
        own = lake.lake_species.get(species=white)
        own.plausible_max_hundredths_mm = 12 * 2540
        own.save()

    @pytest.fixture
    def unlikely(self, send, party, vials):
        """Return a fish of 12.4 in that is held for the reason given: unlikely(reason, **words)."""

        def hold(reason, **words):
            send(entries.fish(party.party_id, vials[0].number))
            send(entries.fish(**{
                "party_id": party.party_id, "vial": vials[0].number, "length": "12.4",
                "confirmed": ["length_out_of_range"], **words,
            }))  # fmt: skip
            held = HeldEntry.objects.get()
            held.said.pop("confirmed")
            held.reason = reason
            held.save()
            return held

        return hold

    def the_fish(self):
        fish = Fish.objects.get(length_as_measured="12.4")
        return fish.vial, fish.slip_answers

    def test_is_saved_as_written(self, desk, unlikely, vials):
        held = unlikely("needs_answer")
        held.said["vial"] = vials[1].number
        held.save()

        resolve(desk, held, "written")

        assert self.the_fish() == (vials[1], ["length_out_of_range"])

    def test_is_saved_under_another_number_once_it_is_ticked(self, desk, unlikely, vials):
        held = unlikely("needs_answer")

        asked = resolve(desk, held, "number", number=vials[1].number)
        resolve(desk, held, "number", number=vials[1].number, number_confirmed="on")

        assert asked.status_code == 422
        assert self.the_fish() == (vials[1], ["length_out_of_range"])

    def test_comes_in_with_the_trip_once_it_is_ticked(self, desk, lake, unlikely, vials):
        held = unlikely("unknown_party", party_id=entries.new_id(), vial=vials[1].number)
        assert held.party is None
        arm = lake.arms.get(name="Cutbank")
        trip = {"arm": arm.pk, "caught_on": "2026-05-04", "method": "angler_kept"}

        resolve(desk, held, "trip", **trip, trip_confirmed="on")

        assert self.the_fish() == (vials[1], ["length_out_of_range"])

    def test_comes_in_with_the_vial_that_is_brought_back(self, desk, unlikely, vials):
        held = unlikely("void_vial")
        Vial.objects.filter(pk=vials[1].pk).update(state="void")
        held.vial = vials[1]
        held.save()

        resolve(desk, held, "back")

        assert self.the_fish() == (vials[1], ["length_out_of_range"])


class TestPasted:
    @pytest.fixture
    def paste(self, desk, guide):
        def send(*said):
            lines = [json.dumps({"by": str(guide.pk), "entry": words}) for words in said]
            return desk.post(f"{HELD}paste/", {"text": "\n".join(lines)})

        return send

    @pytest.mark.parametrize(
        ("vial", "reason"),
        [
            ("26 0001 5", "wrong_check_digit"),
            ("26 A1", "no_vial_number"),
            ("12", "no_vial_number"),
            ("", "no_vial_number"),
        ],
    )
    def test_a_wrong_number_is_held_and_gets_the_right_one(
        self, desk, paste, party, vials, vial, reason
    ):
        page = page_of(paste(entries.fish(party.party_id, vial)))

        held = HeldEntry.objects.get()
        assert "1 to resolve." in page
        assert (held.reason, ways(desk, held)) == (reason, ["number", "aside"])
        resolve(desk, held, "number", number=vial_number.grouped(vials[0].number))
        assert Fish.objects.get().vial == vials[0]

    def test_an_unlikely_length_is_held_and_saved_once_it_is_known_to_be_right(
        self, desk, paste, party, vials
    ):
        paste(entries.fish(party.party_id, vials[0].number, length="39.4"))

        held = HeldEntry.objects.get()
        assert (held.reason, ways(desk, held)) == ("needs_answer", ["written", "number", "aside"])
        resolve(desk, held, "written")
        fish = Fish.objects.get()
        assert (fish.length_as_measured, fish.slip_answers) == ("39.4", ["length_out_of_range"])

    def test_pasted_again_it_is_held_once(self, paste, party, vials):
        said = entries.fish(party.party_id, "26 0001 5")
        paste(said)
        paste(said)

        assert HeldEntry.objects.count() == 1

    def test_from_a_phone_it_is_still_asked_about_there(self, send, party):
        [answer] = send(entries.fish(party.party_id, "26 0001 5"))

        assert (answer.outcome, answer.reason) == (services.Outcome.REFUSED, "needs_answer")
        assert not HeldEntry.objects.exists()
