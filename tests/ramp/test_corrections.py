"""Corrections, withdrawals and shifts, and what the office settles."""

import pytest

from samples.models import Entry, Fish, HeldEntry, Vial
from samples.ramp import services
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import outcomes, take, vial_of


def note_empty(vial, office):
    """Note that a vial came in with nothing inside."""
    Vial.objects.filter(pk=vial.pk).update(
        state="received", received_at=NOW, received_by=office, content="none"
    )


class TestCorrections:
    def test_correction_is_an_entry_of_its_own_and_the_history_keeps_what_stood(
        self, party, guide, vials
    ):
        entry = entries.fish(party.party_id, vials[0].number)
        corrected = entries.correction(entry, length="10.4", sex="M")

        answers = take(guide, entry, corrected, corrected)

        assert outcomes(answers) == [("logged", ""), ("logged", ""), ("already_logged", "")]
        fish = Fish.objects.get()
        assert (fish.length_as_measured, fish.sex) == ("10.4", "M")
        assert [row.length_as_measured for row in fish.history.order_by("history_id")] == [
            "9.4",
            "10.4",
        ]
        assert Entry.objects.get(entry_id=corrected["entry_id"]).said == corrected

    def test_correcting_the_vial_frees_the_first_one(self, party, guide, vials):
        entry = entries.fish(party.party_id, vials[0].number)

        take(guide, entry, entries.correction(entry, vial=vials[5].number))

        assert vial_of(entry) == vials[5]
        assert Vial.objects.get(pk=vials[0].pk).state == "issued"
        assert Vial.objects.get(pk=vials[5].pk).state == "used"

    def test_correcting_into_another_fishs_vial_is_held(self, party, guide, vials):
        one = entries.fish(party.party_id, vials[0].number)
        two = entries.fish(party.party_id, vials[1].number)

        answers = take(guide, one, two, entries.correction(two, vial=vials[0].number))

        assert outcomes(answers)[-1] == ("held", "vial_taken")
        assert vial_of(two) == vials[1]

    def test_correcting_into_a_vial_noted_empty_is_held(self, party, guide, office, vials):
        entry = entries.fish(party.party_id, vials[0].number)
        note_empty(vials[1], office)

        answers = take(guide, entry, entries.correction(entry, vial=vials[1].number))

        assert outcomes(answers)[-1] == ("held", "no_otolith")
        assert vial_of(entry) == vials[0]

    def test_undo_withdraws_the_fish_and_frees_its_vial_for_the_next(self, party, guide, vials):
        entry = entries.fish(party.party_id, vials[0].number)
        again = entries.fish(party.party_id, vials[0].number, length="8.8")

        answers = take(guide, entry, entries.withdrawal(entry), again)

        assert [answer.outcome for answer in answers] == ["logged"] * 3
        assert Fish.objects.get(entry_id=entry["entry_id"]).withdrawn
        assert vial_of(again) == vials[0]

    def test_after_receipt_a_correction_waits_for_the_biologist(self, party, guide, office, vials):
        entry = entries.fish(party.party_id, vials[0].number)
        take(guide, entry)
        Vial.objects.filter(pk=vials[0].pk).update(received_at=NOW, received_by=office)

        answers = take(guide, entries.correction(entry, length="12.0"), entries.withdrawal(entry))

        assert outcomes(answers) == [("held", "already_received")] * 2
        assert Fish.objects.get().length_as_measured == "9.4"

    def test_nobody_corrects_another_persons_fish(self, party, guide, second_guide, vials):
        entry = entries.fish(party.party_id, vials[0].number)
        take(guide, entry)

        [answer] = take(second_guide, entries.correction(entry, length="12.0"))

        assert (answer.outcome, answer.reason) == ("held", "unknown_fish")
        assert Fish.objects.get().length_as_measured == "9.4"

    def test_shift_moves_a_run_by_one_with_its_history(self, party, guide, vials):
        logged = [entries.fish(party.party_id, vial.number) for vial in vials[:4]]
        take(guide, *logged)

        [answer] = take(guide, entries.shift(party.party_id, vials[1].number, 1))

        assert answer.outcome == "logged"
        assert [vial_of(one).sequence for one in logged] == [1, 3, 4, 5]
        assert Vial.objects.get(sequence=2).state == "issued"
        assert Vial.objects.get(sequence=5).state == "used"
        moved = Fish.objects.get(entry_id=logged[3]["entry_id"])
        assert [row.vial.sequence for row in moved.history.order_by("history_id")] == [4, 5]

    def test_shift_into_a_vial_noted_empty_moves_nothing(self, party, guide, office, vials):
        entry = entries.fish(party.party_id, vials[0].number)
        take(guide, entry)
        note_empty(vials[1], office)

        [answer] = take(guide, entries.shift(party.party_id, vials[0].number))

        assert (answer.outcome, answer.reason) == ("refused", "shift_blocked")
        assert vial_of(entry) == vials[0]

    def test_shift_back_by_one_works_too(self, party, guide, vials):
        logged = [entries.fish(party.party_id, vial.number) for vial in vials[3:6]]
        take(guide, *logged)

        take(guide, entries.shift(party.party_id, vials[3].number, -1))

        assert [vial_of(one).sequence for one in logged] == [3, 4, 5]

    def test_shift_leaves_a_held_fish_where_it_is_and_does_not_start_from_one(
        self, party, guide, vials
    ):
        first, last = (entries.fish(party.party_id, vial.number) for vial in vials[:2])
        held = entries.fish(party.party_id, vials[0].number, length="11.2")
        take(guide, first, last, held, entries.withdrawal(first))

        [from_held] = take(guide, entries.shift(party.party_id, vials[0].number, 1))
        [from_last] = take(guide, entries.shift(party.party_id, vials[1].number, 1))

        assert (from_held.outcome, from_held.reason) == ("refused", "unknown_vial")
        assert list(from_held.errors) == ["from_vial"]
        assert from_last.outcome == "logged"
        assert vial_of(last) == vials[2]
        assert HeldEntry.objects.get().said["vial"] == vials[0].number

    def test_shift_refuses_whole_where_its_end_is_taken(self, party, guide, vials):
        logged = [entries.fish(party.party_id, vial.number) for vial in vials[:3]]
        other = entries.party()
        blocking = entries.fish(other["party_id"], vials[3].number)
        take(guide, *logged, other, blocking)

        [answer] = take(guide, entries.shift(party.party_id, vials[0].number, 1))

        assert (answer.outcome, answer.reason) == ("refused", "shift_blocked")
        assert [vial_of(one).sequence for one in logged] == [1, 2, 3]


class TestSettling:
    @pytest.fixture
    def clash(self, party, guide, vials):
        first = entries.fish(party.party_id, vials[0].number)
        second = entries.fish(party.party_id, vials[0].number, length="11.2")
        take(guide, first, second)
        return first, second, HeldEntry.objects.get()

    def test_this_fish_keeps_the_vial_and_the_first_gets_another(self, clash, office, vials):
        first, second, held = clash

        services.let_held_fish_keep_vial(
            held, other_number=vials[7].number, note="slip", actor=office, now=NOW
        )

        assert vial_of(second) == vials[0]
        assert vial_of(first) == vials[7]
        held.refresh_from_db()
        assert (held.state, held.settled_how, held.note) == (
            "settled",
            "keeps_vial",
            "slip",
        )
        assert held.said == second

    def test_the_first_fish_may_wait_without_a_number(self, clash, office, vials):
        first, second, held = clash

        services.let_held_fish_keep_vial(held, other_number="", note="", actor=office, now=NOW)

        assert vial_of(first) is None
        assert vial_of(second) == vials[0]

    def test_the_held_fish_gets_another_number_and_stays_its_senders(
        self, clash, office, guide, vials
    ):
        first, second, held = clash

        services.give_other_number(held, number=vials[8].number, note="", actor=office, now=NOW)

        assert (vial_of(first), vial_of(second)) == (vials[0], vials[8])
        fish = Fish.objects.get(entry_id=second["entry_id"])
        assert (fish.logged_by, fish.length_as_measured) == (guide, "11.2")
        assert fish.vial_number_said == vials[0].number

    def test_the_phone_that_sends_it_again_hears_that_it_is_logged(
        self, clash, office, guide, vials
    ):
        _, second, held = clash
        services.give_other_number(held, number=vials[8].number, note="", actor=office, now=NOW)

        assert outcomes(take(guide, second)) == [("already_logged", "")]
        assert Fish.objects.count() == 2

    def test_a_taken_number_is_refused_and_nothing_changes(self, clash, office, guide, vials):
        _, _, held = clash
        take(guide, entries.fish(held.party.party_id, vials[4].number))

        with pytest.raises(services.CannotSettle) as refused:
            services.give_other_number(held, number=vials[4].number, note="", actor=office, now=NOW)

        assert refused.value.code == "vial_taken"
        held.refresh_from_db()
        assert held.state == "open"

    @pytest.fixture
    def late(self, party, guide, office, vials):
        """Return a correction that came after the vial of its fish was received."""
        entry = entries.fish(party.party_id, vials[0].number)
        take(guide, entry)
        Vial.objects.filter(pk=vials[0].pk).update(received_at=NOW, received_by=office)
        take(guide, entries.correction(entry, length="12.0"))
        return HeldEntry.objects.get()

    def test_a_late_correction_is_taken_in_and_the_history_keeps_what_stood(self, late, biologist):
        services.apply_as_written(late, note="Checked the slip.", actor=biologist, now=NOW)

        fish = Fish.objects.get()
        late.refresh_from_db()
        assert fish.length_as_measured == "12.0"
        assert fish.history.count() == 2
        assert fish.get_progress_display() == "Received"
        assert (late.settled_how, late.fish) == ("taken_in", fish)

    def test_a_late_withdrawal_is_taken_in_too_but_not_from_under_a_reading(
        self, party, guide, office, biologist, reader, vials
    ):
        logged = [entries.fish(party.party_id, vial.number) for vial in vials[:2]]
        take(guide, *logged)
        Vial.objects.update(received_at=NOW, received_by=office)
        vials[1].readings.create(
            reader=reader, sitting_on=NOW.date(), annuli=3, margin=1, read_at=NOW
        )
        take(guide, *[entries.withdrawal(one) for one in logged])
        first, second = HeldEntry.objects.order_by("pk")

        services.apply_as_written(first, note="", actor=biologist, now=NOW)
        with pytest.raises(services.CannotSettle) as refused:
            services.apply_as_written(second, note="", actor=biologist, now=NOW)
        assert refused.value.code == "read"

        assert Fish.objects.get(entry_id=logged[0]["entry_id"]).withdrawn
        assert vial_of(logged[1]) == vials[1]

    def test_an_entry_of_somebody_who_left_can_still_be_settled(self, clash, guide, office, vials):
        _, second, held = clash
        guide.memberships.all().delete()

        services.give_other_number(held, number=vials[8].number, note="", actor=office, now=NOW)

        assert vial_of(second) == vials[8]

    def test_a_late_correction_takes_no_vial_away_that_was_read(
        self, late, guide, biologist, reader, vials
    ):
        vials[0].readings.create(
            reader=reader, sitting_on=NOW.date(), annuli=3, margin=1, read_at=NOW
        )
        late.said = late.said | {"vial": vials[9].number}
        late.save()

        with pytest.raises(services.CannotSettle) as refused:
            services.apply_as_written(late, note="", actor=biologist, now=NOW)
        assert refused.value.code == "read"

    def test_the_office_applies_a_late_correction_alone(self, late, client, office):
        client.force_login(office)
        client.post(f"/lakes/lake-orrinbeck/held/{late.pk}/", {"way": "in"})

        assert Fish.objects.get().length_as_measured == "12.0"

    def test_setting_aside_wants_a_note_and_keeps_the_words(self, clash, office):
        _, second, held = clash

        with pytest.raises(services.CannotSettle) as refused:
            services.set_aside(held, note=" ", actor=office, now=NOW)
        assert refused.value.code == "no_note"
        services.set_aside(held, note="Logged twice, says the guide.", actor=office, now=NOW)

        held.refresh_from_db()
        assert (held.state, held.said) == ("settled", second)
        assert Fish.objects.count() == 1
