"""For which fish one reader's age is enough: the rule of a lake, and what a change of it does."""

import pytest
from django.urls import reverse

from samples.lab import queries, rules, services
from samples.lab.services import RuleNeedsConfirmation
from samples.models import Age, Fish, Lake, Progress, Reading
from samples.rules.ageing import AgeResult
from tests.lab.making import put_in_lab, read
from tests.people import INCH, NOW
from tests.shown import error_codes

One = Lake.OneReading


def aged(*ages, annuli=3):
    """Return readings that came to these ages, one a reader."""
    return [
        rules.Aged(Reading(annuli=annuli), AgeResult(age, None, "rule", "", ()), counts=True)
        for age in ages
    ]


@pytest.mark.parametrize(
    ("rule", "inches", "annuli", "standing"),
    [
        (rules.ConsensusRule(), 14, 9, "one_reader"),
        (rules.ConsensusRule(One.NEVER), 3, 0, "second"),
        # A fish of the length itself is not below it; a count of the number itself is within it.
        (rules.ConsensusRule(One.BELOW, 8 * INCH, 2), 7.9, 2, "one_reader"),
        (rules.ConsensusRule(One.BELOW, 8 * INCH, 2), 8, 2, "second"),
        (rules.ConsensusRule(One.BELOW, 8 * INCH, 2), 7.9, 3, "second"),
        (rules.ConsensusRule(One.BELOW, 8 * INCH, None), 7.9, 9, "one_reader"),
        (rules.ConsensusRule(One.BELOW, None, 2), 14, 2, "one_reader"),
        (rules.ConsensusRule(One.BELOW, None, 2), 14, 3, "second"),
    ],
)
def test_one_reading_is_enough_as_the_rule_says(rule, inches, annuli, standing):
    fish = Fish(length_hundredths_mm=round(inches * INCH))

    found = rules.consensus_of(aged(4, annuli=annuli), fish, rule)

    assert found.standing == standing
    assert (found.age_years is None) == (standing == "second")


def test_two_readers_are_compared_under_every_rule():
    fish = Fish(length_hundredths_mm=14 * INCH)
    for one_reading in One:
        rule = rules.ConsensusRule(one_reading, 8 * INCH, 2)
        assert rules.consensus_of(aged(4, 4), fish, rule).age_years == 4
        assert rules.consensus_of(aged(4, 5), fish, rule).standing == "to_settle"
        assert rules.consensus_of(aged(None), fish, rule).standing == "to_settle"


class TestAtALake:
    @pytest.fixture
    def three(self, vials, party, white, reader, biologist):
        """Read three fish: a short one and a long one once, a long one twice."""
        fish = [
            put_in_lab(vial, party, white, inches=inches)
            for vial, inches in zip(vials, (7, 11, 12), strict=False)
        ]
        for one in fish:
            read(one.vial, reader, 4, 1)
        read(fish[2].vial, biologist, 4, 1)
        return fish

    def standings(self):
        return list(Age.objects.order_by("fish__vial__number").values_list("standing", flat=True))

    def test_a_new_rule_makes_the_ages_anew_and_the_old_one_brings_them_back(self, three, lake):
        rule = rules.ConsensusRule(One.BELOW, 8 * INCH, None)

        with pytest.raises(RuleNeedsConfirmation) as asked:
            services.set_consensus_rule(lake=lake, rule=rule, now=NOW)
        assert asked.value.lost == 1
        assert self.standings() == ["one_reader", "one_reader", "agreed"]

        assert services.set_consensus_rule(lake=lake, rule=rule, now=NOW, confirmed=True) == 1
        assert self.standings() == ["one_reader", "second", "agreed"]
        three[1].refresh_from_db()
        assert three[1].progress == Progress.RECEIVED

        usual = rules.ConsensusRule()
        assert services.set_consensus_rule(lake=lake, rule=usual, now=NOW) == 1
        assert self.standings() == ["one_reader", "one_reader", "agreed"]

    def test_a_second_reading_gives_the_age_that_one_could_not(
        self, vials, party, white, lake, reader, biologist
    ):
        rule = rules.ConsensusRule(One.NEVER)
        services.set_consensus_rule(lake=lake, rule=rule, now=NOW)
        fish = put_in_lab(vials[0], party, white)
        read(vials[0], reader, 4, 1)
        assert Age.objects.get(fish=fish).standing == "second"
        assert list(queries.ages_to_settle(biologist, lake)) == []
        second = queries.GridCriteria(selection=queries.VialSelection.SECOND)
        waiting = queries.grid_vials(biologist, lake, second, today=NOW.date())
        assert list(waiting) == [vials[0]]

        read(vials[0], biologist, 4, 1)

        assert Age.objects.get(fish=fish).standing == "agreed"

    def test_the_page_asks_before_fish_lose_their_age(self, client, biologist, lake, three):
        client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
        door = reverse("lab:consensus_rule", args=[lake.slug])
        said = {"one_reading": "below", "below": "8.0", "most_annuli": ""}

        asked = client.post(door, said)
        assert (asked.status_code, asked.context["lost"]) == (422, 1)
        assert Lake.objects.get(pk=lake.pk).one_reading_suffices == One.ALWAYS
        assert client.post(door, said | {"confirmed": "ages_lost"}).status_code == 302

        kept = Lake.objects.get(pk=lake.pk)
        assert (kept.one_reading_suffices, kept.one_reading_below_hundredths_mm) == (
            One.BELOW,
            8 * INCH,
        )
        nothing = client.post(door, {"one_reading": "below", "below": "", "most_annuli": ""})
        assert error_codes(nothing) == {"below": ["required"]}
        # What was typed beside another choice sets no limit.
        assert client.post(door, said | {"one_reading": "always"}).status_code == 302
        assert Lake.objects.get(pk=lake.pk).one_reading_below_hundredths_mm is None
