"""Readings, what they come to, and what the biologist decides."""

import threading
from datetime import date, timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from samples.lab import services
from samples.lab.services import CannotDecide, CannotRead, ReadingNeedsConfirmation
from samples.models import Age, Fish, LakeSpecies, Progress, Reading, Vial
from tests.lab.making import TODAY, put_in_lab, read
from tests.people import NOW

LATER = NOW + timedelta(days=2)
LATER_DAY = date(2026, 5, 8)


def standing(fish):
    return Age.objects.get(fish=fish).standing


def test_one_reading_makes_an_age_marked_one_reader(vial, fish, reader):
    saved = read(vial, reader, 3, 4, readability=1)
    assert saved.created
    assert saved.result.rule == "within_wide"
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years, age.year_class) == ("one_reader", 4, 2022)
    assert age.rule == "within_wide"
    # May 15, 2022 to May 6, 2026 is 1452 days; growth has begun on 15 April.
    assert age.decimal_age_years == pytest.approx(1452 / 365.25)
    assert age.growing_seasons == 5
    fish.refresh_from_db()
    vial.refresh_from_db()
    assert fish.progress == Progress.ONE_READER
    assert vial.state == Vial.State.READ


def test_readings_agree_by_their_ages_though_the_counts_differ(vial, fish, reader, biologist):
    read(vial, reader, 3, 4)
    read(vial, biologist, 4, 1)
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years, age.readers) == ("agreed", 4, 2)
    fish.refresh_from_db()
    assert fish.progress == Progress.AGED


def test_equal_counts_that_come_to_different_ages_do_not_agree(vial, fish, reader, biologist):
    read(vial, reader, 3, 4)
    read(vial, biologist, 3, 1)
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years, age.rule) == ("to_settle", None, "readers_differ")
    fish.refresh_from_db()
    assert fish.progress == Progress.RECEIVED


def test_a_margin_that_fits_two_ages_goes_to_the_settle_list(vial, fish, reader):
    read(vial, reader, 3, 3)
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.rule, age.flags) == (
        "to_settle",
        "within_middle",
        ["middle_in_window"],
    )


def test_a_later_dissent_reopens_an_automatic_agreement(vial, fish, reader, biologist, office):
    read(vial, reader, 4, 1)
    read(vial, biologist, 4, 1)
    assert standing(fish) == "agreed"
    read(vial, office, 5, 1, now=LATER, sitting_on=LATER_DAY)
    assert standing(fish) == "to_settle"


def test_a_later_dissent_leaves_a_decision_and_is_noted(vial, fish, reader, biologist):
    read(vial, reader, 4, 1)
    services.decide_age(fish=fish, age_years=5, note="Sectioned", actor=biologist, now=NOW)
    assert Age.objects.get(fish=fish).flags == []
    read(vial, reader, 4, 1, now=LATER, sitting_on=LATER_DAY)
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years, age.note) == ("decided", 5, "Sectioned")
    assert age.flags == ["read_since_decided"]
    read(vial, reader, 5, 1, now=LATER, sitting_on=LATER_DAY)
    assert Age.objects.get(fish=fish).flags == []


def test_a_decision_taken_back_lets_the_readings_speak(vial, fish, reader, biologist):
    read(vial, reader, 4, 1)
    services.decide_age(fish=fish, age_years=5, note="Sectioned", actor=biologist, now=NOW)
    services.undo_decision(fish=fish, actor=biologist, now=LATER)
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years, age.decided_by, age.note) == ("one_reader", 4, None, "")
    with pytest.raises(CannotDecide) as refused:
        services.undo_decision(fish=fish, actor=biologist, now=LATER)
    assert refused.value.code == "not_decided"


def test_typed_again_in_the_same_sitting_it_is_a_correction_with_history(vial, fish, reader):
    read(vial, reader, 4, 1, note="Check near 2")
    saved = read(vial, reader, 5, 1, now=NOW + timedelta(minutes=5))
    assert not saved.created
    reading = Reading.objects.get()
    assert (reading.annuli, reading.note) == (5, "Check near 2")
    assert list(reading.history.order_by("history_id").values_list("annuli", flat=True)) == [4, 5]
    assert Age.objects.get(fish=fish).age_years == 5


@pytest.mark.parametrize(
    ("typed_again", "edge"),
    [
        ({"annuli": 5, "margin": None}, True),
        ({"annuli": 5, "margin": 1}, True),
        # What is typed now speaks against it.
        ({"annuli": 5, "margin": 3}, None),
        ({"annuli": 0, "margin": None}, None),
        ({"annuli": 5, "margin": None, "annulus_at_edge": False}, False),
        ({"annuli": 5, "margin": None, "annulus_at_edge": "not_said"}, None),
    ],
)
def test_an_edge_once_noted_stays_unless_another_is_said(vial, fish, reader, typed_again, edge):
    read(vial, reader, 4, None, annulus_at_edge=True, confirmed=["margin_needed"])
    read(vial, reader, **typed_again, confirmed=["margin_needed"])
    assert Reading.objects.get().annulus_at_edge is edge


def test_the_same_words_again_change_nothing(vial, fish, reader):
    read(vial, reader, 4, 1)
    read(vial, reader, 4, 1, now=NOW + timedelta(minutes=5))
    reading = Reading.objects.get()
    assert reading.read_at == NOW
    assert reading.history.count() == 1
    assert Age.history.filter(fish_id=fish.pk).count() == 1


def test_a_later_sitting_is_a_new_reading_and_the_latest_counts(vial, fish, reader):
    read(vial, reader, 4, 1)
    saved = read(vial, reader, 5, 1, now=LATER, sitting_on=LATER_DAY)
    assert saved.created
    assert sorted(Reading.objects.values_list("annuli", flat=True)) == [4, 5]
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years, age.readers) == ("one_reader", 5, 1)


def test_another_method_in_the_same_sitting_is_a_reading_of_its_own(vial, fish, reader):
    read(vial, reader, 4, 1)
    read(vial, reader, 5, 1, method="section", now=NOW + timedelta(minutes=5))
    assert Reading.objects.count() == 2
    assert Age.objects.get(fish=fish).age_years == 5


def test_inside_the_window_a_missing_margin_is_asked_about_at_its_field(vial, fish, reader):
    with pytest.raises(ReadingNeedsConfirmation) as asked:
        read(vial, reader, 4, None)
    question = asked.value.questions[0]
    assert (question.code, question.field) == ("margin_needed", "margin")
    assert "April 1 to June 30" in question.sentence
    assert Reading.objects.count() == 0
    read(vial, reader, 4, None, confirmed=["margin_needed"])
    assert Reading.objects.get().slip_answers == ["margin_needed"]
    assert standing(fish) == "to_settle"


def test_after_the_window_no_margin_is_needed(vials, party, white, reader):
    put_in_lab(vials[1], party, white, caught_on=date(2026, 7, 20))
    saved = read(vials[1], reader, 4, None)
    assert (saved.result.age, saved.result.flags) == (4, ("no_margin_code",))


def test_an_age_above_the_highest_is_asked_about_and_the_answer_is_kept(vial, fish, reader):
    with pytest.raises(ReadingNeedsConfirmation) as asked:
        read(vial, reader, 13, 1)
    assert [question.code for question in asked.value.questions] == ["age_above_highest"]
    read(vial, reader, 13, 1, confirmed=["age_above_highest"])
    assert Reading.objects.get().slip_answers == ["age_above_highest"]
    assert Age.objects.get(fish=fish).flags == ["age_above_highest"]
    # The same count on another day is not asked about again; a higher one is.
    read(vial, reader, 13, 1, now=LATER, sitting_on=LATER_DAY)
    with pytest.raises(ReadingNeedsConfirmation):
        read(vial, reader, 14, 1, now=LATER, sitting_on=LATER_DAY)


@pytest.mark.parametrize(
    ("annuli", "margin", "edge", "code", "field"),
    [
        (0, 2, None, "margin_without_annuli", "margin"),
        (4, 7, None, "unknown_margin", "margin"),
        (4, 1, False, "margin_contradicts_edge", "annulus_at_edge"),
        (-1, None, None, "negative_count", "annuli"),
    ],
)
def test_a_count_that_contradicts_itself_is_refused_at_its_field(
    vial, fish, reader, annuli, margin, edge, code, field
):
    with pytest.raises(CannotRead) as refused:
        read(vial, reader, annuli, margin, annulus_at_edge=edge)
    assert (refused.value.code, refused.value.field) == (code, field)
    assert Reading.objects.count() == 0


def test_no_vial_no_reading(vial, party, reader):
    with pytest.raises(CannotRead) as refused:
        read(vial, reader, 4, 1)
    assert refused.value.code == "no_fish"


@pytest.mark.parametrize("content", ["none", "wrong", "more_fish"])
def test_a_vial_without_one_fishs_otolith_is_not_read(vial, fish, reader, content):
    Vial.objects.filter(pk=vial.pk).update(content=content)
    with pytest.raises(CannotRead) as refused:
        read(vial, reader, 4, 1)
    assert refused.value.code == "not_to_be_read"


def test_a_fish_without_a_catch_date_has_no_age_to_tell(vials, party, white, reader):
    put_in_lab(vials[1], party, white, caught_on=None)
    with pytest.raises(CannotRead) as refused:
        read(vials[1], reader, 4, 1)
    assert refused.value.code == "no_catch_date"


def test_the_lakes_own_window_decides(vial, fish, lake, white, reader):
    LakeSpecies.objects.filter(lake=lake, species=white).update(
        annulus_starts="05-10", annulus_ends="07-10"
    )
    saved = read(vial, reader, 4, 4)
    assert (saved.result.age, saved.result.rule) == (5, "before_wide")


def test_ages_worked_out_anew_follow_a_changed_window_but_for_decided_ones(
    vial, fish, vials, party, lake, white, reader, biologist
):
    read(vial, reader, 4, 2)
    decided = put_in_lab(vials[1], party, white)
    read(vials[1], reader, 4, 2)
    services.decide_age(fish=decided, age_years=4, note="section", actor=biologist, now=NOW)
    LakeSpecies.objects.filter(lake=lake, species=white).update(
        annulus_starts="05-10", annulus_ends="07-10"
    )

    changed = services.work_out_ages(lake, now=LATER)

    assert changed == 1
    assert Age.objects.get(fish=fish).age_years == 5
    assert Age.objects.get(fish=decided).age_years == 4


def test_ages_that_stay_cost_nothing_to_work_out_anew(
    vials, party, lake, white, reader, django_assert_num_queries
):
    put_in_lab(vials[0], party, white)
    read(vials[0], reader, 4, 1)
    with CaptureQueriesContext(connection) as for_one:
        assert services.work_out_ages(lake, now=LATER) == 0
    for vial in vials[1:]:
        put_in_lab(vial, party, white)
        read(vial, reader, 4, 1)
    with django_assert_num_queries(len(for_one)):
        assert services.work_out_ages(lake, now=LATER) == 0
    assert Age.history.count() == 30


def test_ages_that_change_together_keep_their_history(vials, party, lake, white, reader):
    for vial in vials[:3]:
        put_in_lab(vial, party, white)
        read(vial, reader, 4, 2)
    LakeSpecies.objects.filter(lake=lake, species=white).update(
        annulus_starts="05-10", annulus_ends="07-10"
    )
    Age.objects.filter(fish__vial=vials[2]).delete()
    Fish.objects.update(progress=Progress.RECEIVED)

    assert services.work_out_ages(lake, now=LATER) == 3

    assert set(Age.objects.values_list("age_years", "worked_out_at")) == {(5, LATER)}
    last = Age.history.filter(history_date=LATER).values_list("age_years", "history_type")
    assert sorted(last) == [(5, "+"), (5, "~"), (5, "~")]
    assert set(Fish.objects.values_list("progress", flat=True)) == {Progress.ONE_READER}


def test_days_that_do_not_follow_each_other_are_named_and_nothing_is_kept(
    vial, fish, lake, white, reader
):
    LakeSpecies.objects.filter(lake=lake, species=white).update(annulus_starts="07-10")
    with pytest.raises(CannotRead) as refused:
        read(vial, reader, 4, 4)
    assert refused.value.code == "calendar_wrong"
    assert Reading.objects.count() == 0


@pytest.mark.parametrize(("inches", "age"), [(3, 0), (4, 1)])
def test_without_annuli_age_0_is_below_the_lakes_length(
    vials, party, white, lake, reader, inches, age
):
    LakeSpecies.objects.filter(lake=lake, species=white).update(age_0_below_hundredths_mm=4 * 2540)
    fish = put_in_lab(vials[1], party, white, caught_on=date(2026, 8, 1), inches=inches)
    read(vials[1], reader, 0, None)
    assert Age.objects.get(fish=fish).age_years == age


def test_an_otolith_under_the_scope_has_been_received_and_an_archived_one_stays(
    vials, party, white, reader
):
    put_in_lab(vials[1], party, white, state="used", received_at=None, received_by=None)
    read(vials[1], reader, 4, 1)
    put_in_lab(vials[2], party, white, state="archived")
    read(vials[2], reader, 4, 1)
    received, archived = Vial.objects.filter(pk__in=[vials[1].pk, vials[2].pk]).order_by("pk")
    assert (received.state, received.received_at, received.received_by) == ("read", NOW, reader)
    assert archived.state == "archived"


class TestDecide:
    def test_a_decided_age_carries_who_when_and_why(self, vial, fish, reader, biologist):
        read(vial, reader, 3, 3)
        age = services.decide_age(
            fish=fish, age_years=4, note=" Read together ", actor=biologist, now=NOW
        )
        assert (age.standing, age.age_years, age.year_class) == ("decided", 4, 2022)
        assert (age.decided_by, age.decided_at, age.note) == (biologist, NOW, "Read together")
        assert (age.rule, age.readers) == ("decided", 1)
        fish.refresh_from_db()
        assert fish.progress == Progress.AGED

    def test_a_note_is_needed(self, vial, fish, reader, biologist):
        read(vial, reader, 3, 3)
        with pytest.raises(CannotDecide) as refused:
            services.decide_age(fish=fish, age_years=4, note=" ", actor=biologist, now=NOW)
        assert (refused.value.code, refused.value.field) == ("no_note", "note")

    def test_a_fish_is_not_decided_to_be_older_than_its_hatching(
        self, vial, fish, reader, biologist
    ):
        read(vial, reader, 3, 3)
        with pytest.raises(CannotDecide) as refused:
            services.decide_age(fish=fish, age_years=0, note="Tiny", actor=biologist, now=NOW)
        assert (refused.value.code, refused.value.field) == ("not_hatched_yet", "age_years")
        assert standing(fish) == "to_settle"

    def test_without_a_reading_there_is_nothing_to_decide(self, vial, fish, biologist):
        with pytest.raises(CannotDecide) as refused:
            services.decide_age(fish=fish, age_years=4, note="A guess", actor=biologist, now=NOW)
        assert refused.value.code == "no_reading"


def test_a_corrected_catch_date_changes_the_age_when_it_is_worked_out_anew(vial, fish, reader):
    read(vial, reader, 4, 4)
    assert Age.objects.get(fish=fish).age_years == 5
    fish.caught_on = date(2026, 7, 31)
    fish.save()
    services.work_out_age(fish, now=LATER)
    age = Age.objects.get(fish=fish)
    assert (age.age_years, age.rule, age.worked_out_at) == (4, "after", LATER)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_two_readers_who_save_at_once_both_count(vial, fish, reader, biologist):
    problems = []
    start = threading.Barrier(2)

    def save(somebody):
        try:
            start.wait(timeout=60)
            read(vial, somebody, 4, 1)
        except Exception as problem:
            problems.append(problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=save, args=[one]) for one in (reader, biologist)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert problems == []
    assert Reading.objects.count() == 2
    age = Age.objects.get(fish=fish)
    assert (age.standing, age.age_years, age.readers) == ("agreed", 4, 2)


def test_the_table_itself_keeps_one_reading_a_sitting(vial, fish, reader):
    read(vial, reader, 4, 1)
    with pytest.raises(IntegrityError), transaction.atomic():
        Reading.objects.create(
            vial=vial, reader=reader, sitting_on=TODAY, method="whole", annuli=9, read_at=NOW
        )


def test_a_reading_moves_the_vial_when_and_by_whom_it_was_read(vial, fish, reader):
    read(vial, reader, 4, 1, now=NOW)

    row = vial.history.get(state=Vial.State.READ)

    assert (row.history_date, row.history_user) == (NOW, reader)
