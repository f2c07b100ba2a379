"""Whatever an entry is held for, each way that its page offers resolves it."""

import pytest
from django.db import transaction

from samples.models import Fish, HeldEntry, Party, Vial
from samples.ramp import services
from samples.ramp.entry import read
from samples.rules import vial_number
from tests.people import NOW, make_vials
from tests.ramp import entries
from tests.ramp.settled import HELD, resolve, ways
from tests.ramp.typed import page_of

# Each kind of entry, with each reason for which it is held; the right end of what speaks of a
# deleted fish, or would move or count twice, is to void it.
HELD_FOR = {
    "fish": [
        "entry_changed", "needs_answer", "no_otolith", "no_vial_number", "not_foreseen",
        "other_lake", "unknown_party", "unknown_vial", "vial_taken", "void_vial",
        "wrong_check_digit",
    ],
    "correction": [
        "already_received", "entry_changed", "needs_answer", "no_otolith", "no_vial_number",
        "not_foreseen", "other_lake", "unknown_fish", "unknown_vial", "vial_taken", "void_vial",
        "wrong_check_digit",
    ],
    "withdrawal": ["already_received", "not_foreseen", "unknown_fish"],
    "party_opened": ["entry_changed", "needs_answer", "not_foreseen"],
    "party_changed": ["needs_answer", "not_foreseen", "unknown_party"],
    "party_closed": ["entry_changed", "not_foreseen", "unknown_party"],
    "shift": ["not_foreseen", "unknown_party"],
    "unmeasured_count": ["not_foreseen", "unknown_party"],
}  # fmt: skip
OUTSIDE_EVERY_SEASON = "2025-12-30"


class TestEveryWayOffered:
    @pytest.fixture
    def world(self, guide, lake, office, party, vials, other_lake):
        """Two fish in the first two vials; the third vial is void, the ninth empty."""
        self.guide, self.lake, self.office, self.vials = guide, lake, office, vials
        self.trip = str(party.party_id)
        self.fish = entries.fish(self.trip, vials[0].number)
        self.take(self.fish, entries.fish(self.trip, vials[1].number))
        Vial.objects.filter(pk=vials[2].pk).update(state="void")
        Vial.objects.filter(pk=vials[8].pk).update(
            state="received", received_at=NOW, received_by=office, content="none"
        )
        [far] = make_vials(other_lake.seasons.get(), first=501, count=1, by=office)
        self.numbers = {
            "no_otolith": vials[8].number,
            "no_vial_number": "12",
            "other_lake": far.number,
            "unknown_vial": vial_number.make(2026, 900, 4),
            "vial_taken": vials[1].number,
            "void_vial": vials[2].number,
            "wrong_check_digit": "26 0001 5",
        }

    def take(self, *said):
        """Take entries in as the office pastes them: what nobody answered is held."""
        return services.ingest(
            [read(one) for one in said],
            author=self.guide,
            typed_by=self.office,
            lake=self.lake,
            now=NOW,
        )

    def facts(self, reason):
        length = "39.4" if reason == "needs_answer" else "10.0"
        return {"length": length, "vial": self.numbers.get(reason, self.vials[3].number)}

    def spoken_first(self, *said, opened):
        """Say these of a trip that opens only afterwards."""
        self.take(*said)
        self.take(opened, entries.fish(opened["party_id"], self.vials[5].number))

    def say(self, kind, reason):
        """Say what is held for this reason."""
        getattr(self, f"say_{kind}")(reason)
        if reason == "not_foreseen":
            HeldEntry.objects.update(reason=reason)

    def say_fish(self, reason):
        again = reason == "entry_changed"
        trip = entries.new_id() if reason == "unknown_party" else self.trip
        fish = self.fish if again else entries.fish(trip, self.vials[3].number)
        self.take(fish | self.facts("needs_answer" if reason == "not_foreseen" else reason))

    def say_correction(self, reason):
        said = entries.correction(self.fish, **self.facts(reason))
        if reason in {"already_received", "not_foreseen"}:
            Vial.objects.filter(pk=self.vials[0].pk).update(
                received_at=NOW, received_by=self.office
            )
        if reason == "entry_changed":
            self.take(said)
            said |= {"length": "10.5"}
        if reason == "unknown_fish":
            said |= {"about_entry_id": entries.new_id()}
        self.take(said)

    def say_withdrawal(self, reason):
        counted = self.counted(self.trip)
        if reason == "unknown_fish":
            self.take(entries.withdrawal(counted), counted)
            return
        Vial.objects.filter(pk=self.vials[0].pk).update(received_at=NOW, received_by=self.office)
        self.take(entries.withdrawal(self.fish))

    def say_party_opened(self, reason):
        if reason == "entry_changed":
            opened = entries.party()
            self.take(opened, opened | {"arm": "Cutbank"})
        else:
            opened = entries.party(caught_on=OUTSIDE_EVERY_SEASON)
            self.take(opened)

    def say_party_changed(self, reason):
        opened = entries.party()
        change = {**opened, **entries.common("party_changed", opened["party_id"])}
        if reason == "needs_answer":
            self.take(opened, change | {"caught_on": OUTSIDE_EVERY_SEASON})
        else:
            self.spoken_first(change | {"arm": "Cutbank"}, opened=opened)

    def say_party_closed(self, reason):
        opened = entries.party()
        close = {**entries.common("party_closed", opened["party_id"]), "count_in_hand": 3}
        if reason == "entry_changed":
            self.take(opened, close, close | {"count_in_hand": 4})
        else:
            self.spoken_first(close, opened=opened)

    def say_shift(self, reason):
        opened = entries.party()
        shift = entries.shift(opened["party_id"], self.vials[5].number)
        self.spoken_first(shift, opened=opened)

    def say_unmeasured_count(self, reason):
        opened = entries.party()
        self.spoken_first(self.counted(opened["party_id"]), opened=opened)

    def counted(self, trip):
        words = {"species": "white-crappie", "count": 7}
        return {**entries.common("unmeasured_count", trip), **words}

    def typed(self, way):
        """Return what the office types where a way asks for more than a note."""
        number = self.vials[9].number
        return {
            "trip": {
                "arm": self.lake.arms.get(name="Cutbank").pk,
                "caught_on": "2026-05-04",
                "method": "angler_kept",
            },
            "number": {"number": number, "number_confirmed": "on"},
            "keep": {"other_number": number},
            "aside": {"note": "Asked R. Ostrow"},
        }.get(way, {})

    @pytest.mark.parametrize("kind", HELD_FOR)
    def test_resolves_the_entry_and_one_is_not_to_void_it(self, desk, world, kind):
        stuck = []
        for reason in HELD_FOR[kind]:
            with transaction.atomic():
                self.say(kind, reason)
                held = HeldEntry.objects.get()
                assert (held.kind, held.reason) == (kind, reason)
                offered = ways(desk, held)
                if set(offered) <= {"aside"}:
                    stuck.append((reason, "nothing but voiding"))
                for way in offered:
                    with transaction.atomic():
                        resolve(desk, held, way, **self.typed(way))
                        if HeldEntry.objects.get().state == HeldEntry.State.OPEN:
                            stuck.append((reason, way))
                        transaction.set_rollback(True)
                transaction.set_rollback(True)

        assert stuck == []

    def test_every_reason_is_tried(self):
        tried = {reason for reasons in HELD_FOR.values() for reason in reasons}

        assert tried == set(services.HELD_WORDS) - {"withdrawn"}

    def test_what_is_said_of_a_deleted_fish_is_voided(self, desk, world):
        self.take(entries.withdrawal(self.fish), entries.correction(self.fish, length="10.0"))
        held = HeldEntry.objects.get()

        assert (held.reason, ways(desk, held)) == ("withdrawn", ["aside"])

    def test_a_trip_outside_every_season_is_saved_with_the_fish_that_wait_for_it(self, desk, world):
        opened = entries.party(caught_on=OUTSIDE_EVERY_SEASON)
        self.take(opened, entries.fish(opened["party_id"], self.vials[4].number))
        held = HeldEntry.objects.get(kind="party_opened")

        assert "<td>December 30, 2025</td>" in page_of(desk.get(f"{HELD}{held.pk}/"))
        resolve(desk, held, "in")

        fish = Fish.objects.get(vial=self.vials[4])
        assert str(fish.caught_on) == OUTSIDE_EVERY_SEASON
        assert fish.party.slip_answers == ["date_out_of_season"]
        assert not HeldEntry.objects.filter(state="open").exists()

    def test_a_trip_that_is_saved_keeps_its_donor(self, desk, clerk, world):
        opened = entries.party(caught_on=OUTSIDE_EVERY_SEASON, donor_name="M. Sable")
        said = {"author": clerk, "typed_by": self.office, "lake": self.lake, "now": NOW}
        services.ingest([read(opened)], **said)

        resolve(desk, HeldEntry.objects.get(), "in")

        assert Party.objects.get(party_id=opened["party_id"]).donor.name == "M. Sable"

    def test_a_corrected_fish_changes_places_with_the_one_in_its_vial(self, desk, world):
        self.take(entries.correction(self.fish, vial=self.vials[1].number))
        other = Fish.objects.get(vial=self.vials[1])

        resolve(desk, HeldEntry.objects.get(), "keep", other_number=self.vials[0].number)

        fish = Fish.objects.get(entry_id=self.fish["entry_id"])
        other.refresh_from_db()
        assert (fish.vial, other.vial) == (self.vials[1], self.vials[0])

    def test_a_correction_with_a_wrong_number_may_stay_in_its_own_vial(self, desk, world):
        self.take(entries.correction(self.fish, vial="26 0001 5", length="10.0"))

        resolve(desk, HeldEntry.objects.get(), "number", number=self.vials[0].number)

        fish = Fish.objects.get(length_as_measured="10.0")
        assert (str(fish.entry_id), fish.vial) == (self.fish["entry_id"], self.vials[0])
