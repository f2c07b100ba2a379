"""What the ramp promises: nothing lost, nothing twice, every answer for itself."""

import pytest

from samples.models import Age, Donor, Entry, Fish, HeldEntry, Party, UnmeasuredCount, Vial
from samples.ramp.entry import Unreadable, read
from samples.rules import vial_number
from tests.people import NOW, make_vials
from tests.ramp import entries
from tests.ramp.taking import outcomes, take


class TestLoggingFish:
    def test_writes_what_was_said_and_what_the_party_says(self, party, guide, vials):
        [answer] = take(guide, entries.fish(party.party_id, vials[0].number))

        fish = Fish.objects.get()
        assert answer.outcome == "logged"
        assert (fish.length_hundredths_mm, fish.length_as_measured) == (23876, "9.4")
        assert (fish.arm.name, fish.method, fish.caught_on) == (
            "Brindle",
            "angler_kept",
            party.caught_on,
        )
        assert fish.donor == party.donor
        assert fish.get_progress_display() == "Logged"
        assert fish.logged_at.isoformat() == "2026-05-06T17:31:00+00:00"
        assert fish.received_at == NOW
        assert Vial.objects.get(pk=vials[0].pk).state == "used"

    def test_logs_one_fish_however_often_it_is_sent(self, party, guide, vials):
        entry = entries.fish(party.party_id, vials[0].number)

        answers = [*take(guide, entry), *take(guide, entry), *take(guide, entry, entry)]

        assert outcomes(answers) == [("logged", ""), *[("already_logged", "")] * 3]
        assert Fish.objects.count() == 1
        assert Fish.history.count() == 1

    def test_a_later_clock_on_the_same_words_is_the_same_fish(self, party, guide, vials):
        entry = entries.fish(party.party_id, vials[0].number)
        take(guide, entry)

        again = take(guide, entry | {"written_at": "2026-05-07T09:00:00-05:00"})

        assert outcomes(again) == [("already_logged", "")]

    def test_holds_the_same_id_with_other_words_and_keeps_both(self, party, guide, vials):
        entry = entries.fish(party.party_id, vials[0].number)
        take(guide, entry)

        answers = take(guide, entry | {"length": "10.1"}) + take(guide, entry | {"length": "10.1"})

        assert outcomes(answers) == [("held", "entry_changed")] * 2
        assert Fish.objects.get().length_as_measured == "9.4"
        assert HeldEntry.objects.get().said["length"] == "10.1"

    def test_second_fish_in_one_vial_is_held_word_for_word(self, party, guide, vials):
        first = entries.fish(party.party_id, vials[0].number)
        second = entries.fish(party.party_id, vials[0].number, length="11.2", sex="M")

        answers = take(guide, first, second)

        assert outcomes(answers) == [("logged", ""), ("held", "vial_taken")]
        held = HeldEntry.objects.get()
        assert held.said == second
        assert (held.vial, held.lake, held.said_by) == (vials[0], party.lake, guide)

    @pytest.mark.parametrize(
        ("number", "reason"),
        [(vial_number.make(2026, 9001, 4), "unknown_vial"), ("", "void_vial")],
        ids=["never printed", "void"],
    )
    def test_a_number_that_cannot_hold_a_fish_is_held(self, party, guide, vials, number, reason):
        Vial.objects.filter(sequence=29).update(state="void")
        number = number or Vial.objects.get(sequence=29).number

        [answer] = take(guide, entries.fish(party.party_id, number))

        assert (answer.outcome, answer.reason) == ("held", reason)
        assert HeldEntry.objects.get().said["length"] == "9.4"
        assert not Fish.objects.exists()

    @pytest.mark.parametrize("content", ["none", "wrong", "more_fish"])
    def test_a_vial_noted_without_an_otolith_of_one_fish_is_held(
        self, party, guide, office, vials, content
    ):
        Vial.objects.filter(pk=vials[3].pk).update(
            state="received", received_at=NOW, received_by=office, content=content
        )

        [answer] = take(guide, entries.fish(party.party_id, vials[3].number))

        assert (answer.outcome, answer.reason) == ("held", "no_otolith")
        assert not Fish.objects.exists()

    def test_a_fish_whose_vial_is_noted_empty_later_is_the_same_fish_when_sent_again(
        self, party, guide, office, vials
    ):
        fish = entries.fish(party.party_id, vials[3].number)
        take(guide, fish)
        Vial.objects.filter(pk=vials[3].pk).update(
            state="received", received_at=NOW, received_by=office, content="none"
        )

        assert outcomes(take(guide, fish)) == [("already_logged", "")]

    def test_another_lakes_vial_is_held_and_not_shown_to_this_office(
        self, party, guide, other_lake, office
    ):
        [vial] = make_vials(other_lake.seasons.get(), first=700, count=1, by=office)

        [answer] = take(guide, entries.fish(party.party_id, vial.number))

        assert (answer.outcome, answer.reason) == ("held", "other_lake")
        assert HeldEntry.objects.get().vial is None

    def test_wrong_check_digit_is_asked_about_then_held(self, party, guide, vials):
        wrong = vials[0].number[:-1] + str((int(vials[0].number[-1]) + 1) % 10)
        entry = entries.fish(party.party_id, wrong)

        [asked] = take(guide, entry)
        [confirmed] = take(guide, entry | {"confirmed": ["wrong_check_digit"]})

        assert (asked.outcome, asked.reason) == ("refused", "needs_answer")
        assert list(asked.errors) == ["vial"]
        assert (confirmed.outcome, confirmed.reason) == ("held", "wrong_check_digit")

    def test_a_missing_point_is_asked_about_and_its_answer_is_kept(self, party, guide, vials):
        entry = entries.fish(party.party_id, vials[0].number, length="94")

        [asked] = take(guide, entry)
        codes = ["missing_point", "length_out_of_range"]
        [confirmed] = take(guide, entry | {"length": "21.4", "confirmed": codes})

        assert (asked.reason, list(asked.errors)) == ("needs_answer", ["length"])
        assert confirmed.outcome == "logged"
        assert Fish.objects.get().slip_answers == sorted(codes)

    def test_a_length_that_no_fish_has_is_refused_even_when_confirmed(self, party, guide, vials):
        codes = ["missing_point", "length_out_of_range", "millimetres_meant"]
        entry = entries.fish(party.party_id, vials[0].number, length="900", confirmed=codes)

        [answer] = take(guide, entry)

        assert (answer.outcome, answer.reason) == ("refused", "impossible_length")
        assert list(answer.errors) == ["length"]

    def test_a_guide_needs_a_vial_and_a_clerk_does_not(self, lake, party, guide, clerk):
        [asked] = take(guide, entries.fish(party.party_id, ""))
        opened = entries.party(interview_key="K-17", method="creel")
        answers = take(clerk, opened, entries.fish(opened["party_id"], ""))

        assert (asked.reason, list(asked.errors)) == ("no_vial", ["vial"])
        assert outcomes(answers) == [("logged", ""), ("logged", "")]
        assert Fish.objects.get().get_progress_display() == "Measured only"

    def test_a_fish_of_somebody_elses_party_is_held(self, party, second_guide, vials):
        [answer] = take(second_guide, entries.fish(party.party_id, vials[0].number))

        assert (answer.outcome, answer.reason) == ("held", "unknown_party")
        assert HeldEntry.objects.get().lake == party.lake

    def test_a_label_scanned_whole_by_an_older_app_is_its_vial(self, party, guide, vials):
        link = f"https://earstone.example/v/{vials[0].number}"

        answers = take(guide, entries.fish(party.party_id, link))

        assert outcomes(answers) == [("logged", "")]
        fish = Fish.objects.get()
        assert fish.vial == vials[0]
        assert link.startswith(fish.vial_number_said)

    def test_a_vial_received_before_its_log_counts_as_received(self, party, guide, office, vials):
        Vial.objects.filter(pk=vials[0].pk).update(
            state="received", received_at=NOW, received_by=office
        )

        take(guide, entries.fish(party.party_id, vials[0].number))

        assert Fish.objects.get().get_progress_display() == "Received"
        assert Vial.objects.get(pk=vials[0].pk).state == "received"

    def test_one_entry_that_nobody_foresaw_is_held_and_the_others_come_through(
        self, party, guide, vials, monkeypatch
    ):
        odd = entries.fish(party.party_id, vials[1].number, length="10.0")
        good = entries.fish(party.party_id, vials[0].number)
        from samples.ramp.services import decide_fish as module

        ask = module.ask

        def stumble(facts, species):
            if facts.length.as_measured == "10.0":
                raise ZeroDivisionError
            ask(facts, species)

        monkeypatch.setattr(module, "ask", stumble)

        answers = take(guide, good, odd)

        assert outcomes(answers) == [("logged", ""), ("held", "not_foreseen")]
        assert Fish.objects.get().entry_id == read(good).entry_id

    def test_a_phone_clock_at_the_beginning_of_time_blocks_nobody(self, party, guide, vials):
        good = entries.fish(party.party_id, vials[0].number)
        odd = entries.fish(party.party_id, vials[1].number)

        with pytest.raises(Unreadable) as clock:
            read(odd | {"written_at": "0001-01-01T00:00:00+05:00"})
        with pytest.raises(Unreadable) as too_long:
            read(odd | {"remark": "x" * 30_000})
        take(guide, good)

        assert list(clock.value.errors) == ["written_at"]
        assert list(too_long.value.errors) == ["kind"]
        assert Fish.objects.count() == 1

    def test_history_says_who_wrote_it_and_when(self, party, guide, vials):
        take(guide, entries.fish(party.party_id, vials[0].number))

        written = Fish.history.get()
        assert (written.history_user, written.history_date) == (guide, NOW)
        used = Vial.history.filter(number=vials[0].number).latest("history_id")
        assert (used.state, used.history_user) == ("used", guide)


class TestParties:
    def test_is_opened_once_and_its_fish_follow_in_the_same_batch(self, lake, guide, vials):
        opened = entries.party(reach="Upper", fish_in_box="18", kept="iced")
        one = entries.fish(opened["party_id"], vials[0].number)

        answers = take(guide, opened, one) + take(guide, opened, one)

        assert outcomes(answers) == [("logged", "")] * 2 + [("already_logged", "")] * 2
        party = Party.objects.get()
        assert (party.reach.name, party.fish_in_box, party.kept) == ("Upper", 18, "iced")
        assert party.donor.person == guide
        assert party.season.name == "2026"

    def test_a_donors_name_stands_in_one_row_only(self, lake, clerk, vials):
        opened = entries.party(donor_name="H. Ommer")
        other_words = opened | {"arm": "Hobbin"}

        take(clerk, opened, other_words)

        assert Party.objects.get().donor.name == "H. Ommer"
        kept = [Entry.objects.get().said, HeldEntry.objects.get().said]
        assert "Ommer" not in str(kept)
        assert {words["donor"] for words in kept} == {Party.objects.get().donor_id}

    @pytest.mark.parametrize(
        ("words", "field"),
        [({"arm": "Sorrel"}, "arm"), ({"reach": "Dam"}, "reach"), ({"lake": "elsewhere"}, "lake")],
    )
    def test_an_unknown_place_is_refused_beside_its_field(self, lake, guide, words, field):
        [answer] = take(guide, entries.party(**words))

        assert answer.outcome == "refused"
        assert list(answer.errors) == [field]
        assert not Party.objects.exists()

    def test_a_wrong_arm_is_put_right_for_the_fish_too(self, party, guide, vials):
        take(guide, entries.fish(party.party_id, vials[0].number))
        change = entries.party(party.party_id, kind="party_changed", arm="Hobbin")

        answers = take(guide, change)

        assert outcomes(answers) == [("logged", "")]
        assert Fish.objects.get().arm.name == "Hobbin"
        assert [row.arm.name for row in Fish.history.order_by("history_id")] == [
            "Brindle",
            "Hobbin",
        ]

    def test_moving_on_leaves_the_fish_already_logged_where_they_were(self, party, guide, vials):
        take(guide, entries.fish(party.party_id, vials[0].number))
        moved = entries.party(
            party.party_id, kind="party_changed", arm="Hobbin", arm_change="moved"
        )
        take(guide, moved, entries.fish(party.party_id, vials[1].number))

        arms = Fish.objects.order_by("pk").values_list("arm__name", "leg", "party__party_id")
        assert [(arm, leg) for arm, leg, _ in arms] == [("Brindle", 1), ("Hobbin", 2)]
        assert len({party_id for *_, party_id in arms}) == 1

    def test_a_refused_change_leaves_the_party_as_it_was_for_what_follows(
        self, party, guide, vials
    ):
        take(guide, entries.fish(party.party_id, vials[0].number))
        aged = Fish.objects.get()
        Age.objects.create(
            fish=aged, standing="one_reader", age_years=3, rule="after", worked_out_at=NOW
        )
        moved = entries.party(
            party.party_id,
            kind="party_changed",
            arm="Hobbin",
            arm_change="moved",
            caught_on="2026-05-05",
        )

        answers = take(guide, moved, entries.fish(party.party_id, vials[1].number))

        assert outcomes(answers) == [("refused", "already_aged"), ("logged", "")]
        later = Fish.objects.exclude(pk=aged.pk).get()
        assert (later.leg, later.arm.name) == (1, "Brindle")

    def test_an_interview_is_not_credited_to_who_asked(self, lake, clerk):
        Donor.objects.create(lake=lake, person=clerk, name="D. Marrable")

        take(clerk, entries.party(interview_key="K-12", method="creel"))

        assert Party.objects.get().donor is None

    def test_what_came_before_its_party_is_put_to_it_when_it_comes(self, lake, guide, vials):
        opened = entries.party()
        take(guide, entries.fish(opened["party_id"], vials[0].number))

        take(guide, opened)

        assert HeldEntry.objects.get().party == Party.objects.get()

    def test_closing_keeps_the_count_and_the_last_number_said(self, party, guide):
        closed = {
            **entries.common("party_closed", party.party_id),
            "count_in_hand": "30",
            "last_number": "0147",
        }

        take(guide, closed)

        party.refresh_from_db()
        assert (party.count_in_hand, party.last_number_said) == (30, "0147")
        assert party.closed_at.isoformat() == "2026-05-06T17:31:00+00:00"

    def test_fish_counted_and_not_measured_are_counted_once(self, party, guide):
        counted = {
            **entries.common("unmeasured_count", party.party_id),
            "species": "white-crappie",
            "count": 12,
        }

        answers = take(guide, counted) + take(guide, counted)

        assert outcomes(answers) == [("logged", ""), ("already_logged", "")]
        assert UnmeasuredCount.objects.get().count == 12
