"""Deciding ages: side by side, one after the other, and with every earlier word kept."""

from datetime import timedelta

import pytest
from django.urls import reverse

from samples.lab import queries, services
from samples.lab.presenters.deciding import decision_page, seen_of
from samples.lab.services import CannotDecide
from samples.models import Age, AgeDecision, Progress, SectionRequest
from tests.custody.test_race import one_after_the_other
from tests.lab.making import decision, put_in_lab, read
from tests.people import NOW, make_person
from tests.shown import error_codes

LATER = NOW + timedelta(days=3)


@pytest.fixture
def as_biologist(client, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def differing(vial, fish, reader, biologist):
    """Return the fish, read as 4 and as 5."""
    read(vial, reader, 4, 1)
    read(vial, biologist, 5, 1)
    return fish


def door(lake, fish):
    return reverse("lab:decide", args=[lake.slug, fish.vial.number])


def decide(fish, outcome, actor, *, now=NOW, **more):
    usual = {"note": "Looked at it together", "seen": seen_of(fish)}
    return services.decide(fish=fish, outcome=outcome, actor=actor, now=now, **usual | more)


class TestServices:
    def test_each_way_to_decide_leaves_the_age_as_it_says(self, differing, biologist):
        decide(differing, "section", biologist)
        assert Age.objects.get().standing == "to_settle"
        assert SectionRequest.objects.get().asked_by == biologist
        decide(differing, "third", biologist)
        assert Age.objects.get().standing == "to_settle"
        decide(differing, "no_age", biologist)
        age = Age.objects.get()
        assert (age.standing, age.age_years, age.decided_by) == ("no_age", None, biologist)
        decide(differing, "age", biologist, age_years=4, how="concert")
        age = Age.objects.get()
        assert (age.standing, age.age_years, age.year_class) == ("decided", 4, 2022)

        said = list(differing.decisions.order_by("number").values_list("number", "outcome"))
        assert said == [(1, "section"), (2, "third"), (3, "no_age"), (4, "age")]

    def test_a_fish_without_age_by_decision_waits_for_nobody(
        self, vial, differing, reader, biologist, lake, office
    ):
        decide(differing, "no_age", biologist)

        differing.refresh_from_db()
        assert differing.progress == Progress.RECEIVED
        criteria = queries.GridCriteria()
        assert not queries.grid_vials(office, lake, criteria, today=LATER.date()).exists()
        # A later reading that gives an age does not pass unseen.
        read(vial, reader, 6, 1, now=LATER, sitting_on=LATER.date())
        assert Age.objects.get().flags == ["read_since_decided"]
        assert [age.fish for age in queries.decided_and_read_since(biologist, lake)] == [differing]

    def test_one_that_waits_for_a_third_reader_comes_back_when_it_was_read(
        self, vial, differing, reader, biologist, lake
    ):
        decide(differing, "third", biologist)

        def listed():
            return list(queries.ages_to_settle(biologist, lake))

        assert listed() == []
        assert [one.fish for one in queries.waiting_decisions()] == [differing]
        read(vial, reader, 4, 1, now=LATER, sitting_on=LATER.date())
        assert [age.fish for age in listed()] == [differing]
        assert not queries.waiting_decisions().exists()

    def test_the_grid_offers_what_waits_for_a_third_reader(
        self, vial, vials, party, white, differing, biologist, lake
    ):
        third = make_person(lake, "reader", "A. Third")
        put_in_lab(vials[1], party, white)
        decide(differing, "third", biologist)

        criteria = queries.GridCriteria(selection=queries.VialSelection.THIRD)

        assert list(queries.grid_vials(third, lake, criteria, today=NOW.date())) == [vial]

    def test_sent_twice_it_is_one_decision(self, differing, biologist):
        seen = seen_of(differing)
        first = decide(differing, "age", biologist, age_years=4, how="concert", seen=seen)
        again = decide(differing, "age", biologist, age_years=4, how="concert", seen=seen)

        assert first == again
        assert AgeDecision.objects.count() == 1

    def test_who_decides_over_what_they_have_not_seen_is_told(
        self, vial, differing, biologist, reader
    ):
        seen = seen_of(differing)
        decide(differing, "age", biologist, age_years=4, how="concert")
        with pytest.raises(CannotDecide) as refused:
            decide(differing, "age", reader, age_years=5, how="one", seen=seen)
        assert refused.value.code == "decided_meanwhile"
        with pytest.raises(CannotDecide) as refused:
            services.undo_decision(fish=differing, actor=reader, now=NOW, seen=seen)
        assert refused.value.code == "decided_meanwhile"

        seen = seen_of(differing)
        read(vial, reader, 6, 1, now=LATER)
        with pytest.raises(CannotDecide) as refused:
            decide(differing, "age", biologist, age_years=5, how="one", seen=seen)
        assert refused.value.code == "read_meanwhile"
        assert Age.objects.get().age_years == 4

    def test_an_undone_decision_stays_on_record(self, differing, biologist):
        decide(differing, "age", biologist, age_years=4, how="concert")
        services.undo_decision(fish=differing, actor=biologist, now=LATER)

        assert Age.objects.get().standing == "to_settle"
        kept = differing.decisions.order_by("number").values_list("outcome", "age_years")
        assert list(kept) == [("age", 4), ("undone", None)]
        undone = [line.who for line in queries.history_of(differing) if line.at == LATER]
        assert "N. Aubrey" in undone


class TestPage:
    def test_readings_stand_side_by_side_and_the_next_vial_follows(
        self, as_biologist, lake, differing, vials, party, white, reader, biologist
    ):
        other = put_in_lab(vials[1], party, white)
        read(vials[1], reader, 3, 1)
        read(vials[1], biologist, 4, 1)

        page = as_biologist.get(door(lake, differing)).context["page"]
        assert [(one.reading.reader, one.result.age) for one in page.sides] == [
            (reader, 4),
            (biologist, 5),
        ]
        assert (page.place, page.total, page.ages) == (1, 2, [4, 5])

        said = decision(differing, outcome="age-4", age_years="", how="concert", note="One check")
        answer = as_biologist.post(door(lake, differing), said)

        assert answer.url == door(lake, other)
        age = Age.objects.get(fish=differing)
        assert (age.standing, age.age_years, age.note) == ("decided", 4, "One check")
        last = as_biologist.post(door(lake, other), decision(other, outcome="third", age_years=""))
        assert last.url == reverse("lab:settle", args=[lake.slug])

    @pytest.mark.parametrize(
        ("changes", "errors"),
        [
            ({"note": ""}, {"note": ["required"]}),
            ({"how": ""}, {"how": ["required"]}),
            ({"outcome": ""}, {"outcome": ["required"]}),
            ({"outcome": "age-9"}, {"outcome": ["invalid_choice"]}),
            ({"age_years": ""}, {"age_years": ["required"]}),
            ({"age_years": "0"}, {"age_years": ["not_hatched_yet"]}),
            ({"outcome": "age-4", "age_years": "7"}, {"age_years": ["another_chosen"]}),
            ({"outcome": "no_age", "age_years": "7"}, {"age_years": ["another_chosen"]}),
        ],
    )
    def test_a_decision_that_cannot_be_is_said_beside_its_field(
        self, as_biologist, lake, differing, changes, errors
    ):
        answer = as_biologist.post(door(lake, differing), decision(differing, **changes))

        assert answer.status_code == 422
        assert error_codes(answer) == errors
        assert Age.objects.get().standing == "to_settle"
        assert not AgeDecision.objects.exists()

    def test_who_comes_second_sees_the_first_and_may_save_again(
        self, as_biologist, lake, differing, biologist, reader
    ):
        said = decision(differing, outcome="age-5", age_years="", how="one", note="Clear")
        decide(differing, "age", reader, age_years=4, how="concert")

        answer = as_biologist.post(door(lake, differing), said)

        assert answer.status_code == 422
        assert error_codes(answer) == {"__all__": ["decided_meanwhile"]}
        assert Age.objects.get().age_years == 4
        page = answer.content.decode()
        assert 'value="Clear"' in page
        assert str(reader) in page
        again = said | {"seen": answer.context["seen"]}
        assert as_biologist.post(door(lake, differing), again).status_code == 302
        assert Age.objects.get().age_years == 5
        assert [one.age_years for one in differing.decisions.order_by("number")] == [4, 5]

    def test_a_slip_in_the_form_hides_no_decision_made_meanwhile(
        self, as_biologist, lake, differing, reader
    ):
        said = decision(differing, note="")
        decide(differing, "age", reader, age_years=4, how="concert")

        kept = as_biologist.post(door(lake, differing), said).context["seen"]

        again = decision(differing, seen=kept)
        answer = as_biologist.post(door(lake, differing), again)
        assert error_codes(answer) == {"__all__": ["decided_meanwhile"]}

    def test_the_page_costs_the_same_however_much_was_decided(
        self, lake, differing, biologist, django_assert_max_num_queries
    ):
        for _ in range(5):
            decide(differing, "third", biologist)
        with django_assert_max_num_queries(12):
            page = decision_page(biologist, lake, differing)
            assert len([str(one.decided_by) for one in page.decisions]) == 5


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_of_two_who_decide_at_once_one_wins_and_the_other_is_told(differing, biologist, reader):
    seen = seen_of(differing)

    def by(person, age):
        more = {"age_years": age, "how": "concert", "seen": seen}
        return lambda: decide(differing, "age", person, **more)

    first, second = one_after_the_other(by(biologist, 4), by(reader, 5))

    assert (first.age_years, second.code) == (4, "decided_meanwhile")
    assert Age.objects.get().age_years == 4
    assert AgeDecision.objects.get() == first
