"""Every fish of a choice is included or excluded for a reason, and the counts add up."""

import pytest

from samples.findings.topics.account import Account
from samples.models import Fish, Season
from tests.findings.conftest import codes, numbers_in, with_code
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db


def counts(page):
    """Return total, included and excluded of a page's account, and the count of each reason."""
    place = codes(page.left_out).index("account")
    total, included, excluded = (int(one) for one in numbers_in(page.left_out[place]))
    reasons, left = [], excluded
    for line in page.left_out[place + 1 :]:
        if left > 0:
            reasons.append(int(numbers_in(line)[0]))
            left -= reasons[-1]
    return total, included, excluded, reasons


@pytest.mark.parametrize("topic", ["ages", "deaths", "sizes", "year-classes"])
def test_fish_of_the_biggest_do_not_vanish(made, population, brindle, second_party, white, topic):
    population(brindle)
    make_fish(second_party("biggest"), white, 11.0, count=12, progress=1, method="trap_net")

    total, included, excluded, reasons = counts(made(topic))

    assert total == 412
    assert included + excluded == total
    assert sum(reasons) == excluded
    assert 12 in reasons


def test_fish_of_a_season_without_ages_are_counted_out_of_the_year_classes(
    made, population, brindle, party, white, lake
):
    population(brindle)
    earlier = Season.objects.create(
        lake=lake, name="2025", number_year=2025, starts_on="2025-01-01", ends_on="2025-12-31"
    )
    make_fish(party, white, 9.0, count=7, progress=1)
    Fish.objects.filter(party=party).update(season=earlier, caught_on="2025-05-06")

    total, _, excluded, reasons = counts(made("year-classes"))

    assert total == 407
    assert 7 in reasons
    assert sum(reasons) == excluded


def test_fish_of_lengths_never_aged_are_counted_out_where_a_season_has_no_residuals(
    made, aged, party, white
):
    for years, inches in ((2, 8.0), (3, 9.0)):
        aged(years, [inches + place / 10 for place in range(10)])
    make_fish(party, white, 12.5, count=5, progress=1)

    page = made("year-classes")

    assert "year-class-strength" not in [table.name for table in page.tables]
    assert counts(page) == (25, 20, 5, [5])


def test_aged_fish_of_an_arm_without_a_curve_are_counted_out(made, population, aged, brindle, lake):
    population(brindle)
    aged(3, [9.0, 9.5], arm=lake.arms.get(name="Hobbin"))

    total, included, excluded, reasons = counts(made("growth"))

    assert (total, included, excluded) == (136, 134, 2)
    assert reasons == [2]


def test_immature_fish_are_in_neither_sex_and_counted(made, aged):
    aged(3, [8.0, 9.0])
    aged(3, [8.5], sex="I")

    assert counts(made("length-at-age", "by=sex"))[:3] == (3, 2, 1)


def test_nothing_is_said_where_every_fish_is_included():
    assert Account("aged fish", 20).sentences() == []


def test_picked_by_length_is_said_only_where_it_was_so(
    made, population, brindle, second_party, aged
):
    population(brindle)
    before = made("length-at-age")
    aged(3, [11.0 + k / 100 for k in range(60)], of=second_party("size_asked"))
    after = made("length-at-age")

    assert "icked" not in " ".join([*before.summary, *before.cautions])
    assert numbers_in(with_code("picked_by_size", after.cautions))[0] == 60


def test_fish_of_which_nobody_said_how_they_were_chosen_are_not_called_picked(
    made, aged, second_party
):
    aged(3, [8.0, 9.0, 10.0], of=second_party("not_known"))

    cautions = made("length-at-age").cautions

    assert "picked_by_size" not in codes(cautions)
    assert numbers_in(with_code("how_chosen_unknown", cautions)) == [3, 3]
