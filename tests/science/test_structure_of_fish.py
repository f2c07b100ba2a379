"""Year classes, size structure and back-calculation: truth found again, and refusals."""

import numpy as np
import pytest

from samples.science.back_calculation import (
    estimated_intercept,
    increments_of,
    proportional,
    with_intercept,
)
from samples.science.errors import CannotEstimate
from samples.science.growth_years import year_effects
from samples.science.size_structure import (
    relative_weight,
    relative_weight_by_length,
    size_structure,
    standard_weight,
)
from samples.science.year_class import class_strengths, finding, followed, shares_of_classes


def shares(numbers, n=200):
    drawn = np.random.default_rng(1).multinomial(n, np.array(numbers) / sum(numbers), size=500)
    return shares_of_classes(range(1, len(numbers) + 1), numbers, drawn, season_year=2026)


class TestYearClasses:
    def test_shares_sum_to_one_and_lie_in_their_intervals(self):
        found = shares([10, 20, 130, 40])

        assert sum(one.share for one in found) == pytest.approx(1)
        assert all(one.lower <= one.share <= one.upper for one in found)
        assert [one.year_class for one in found] == [2025, 2024, 2023, 2022]

    @pytest.mark.parametrize(
        ("numbers", "begins"),
        [
            ([10, 20, 130, 40], "More"),
            ([40, 30, 90, 40], "The"),
            ([50, 52, 49, 49], "No"),
        ],
    )
    def test_the_sentence_says_no_more_than_the_fish(self, numbers, begins):
        assert finding(shares(numbers), season="2026").startswith(f"{begins} ")

    def test_a_class_is_followed_over_seasons(self):
        one = shares_of_classes([1, 2], [5, 5], [[5, 5]], season_year=2025)
        other = shares_of_classes([2, 3], [8, 2], [[8, 2]], season_year=2026)

        assert followed({2026: other, 2025: one})[2024] == [(2025, 0.5), (2026, 0.8)]

    def test_three_ages_tell_no_classes_apart(self):
        with pytest.raises(CannotEstimate) as refused:
            class_strengths([2, 3, 4], [30, 20, 10], season_year=2026)

        assert refused.value.code == "too_few_ages"

    def test_without_fish_there_are_no_shares(self):
        with pytest.raises(CannotEstimate):
            shares_of_classes([1, 2], [0, 0], [[1, 1]], season_year=2026)


class TestSize:
    def test_a_fish_without_categories_or_of_stock_length_is_told(self):
        for species, lengths, code in (
            ("hybrid-crappie", [200], "no_categories"),
            ("white-crappie", [100, 120], "no_stock"),
        ):
            with pytest.raises(CannotEstimate) as refused:
                size_structure(species, lengths)
            assert refused.value.code == code

    def test_relative_weight_leaves_out_fish_that_are_too_short(self):
        lengths = np.array([90.0, 250, 300])
        heavy = np.array([5.0, *1.1 * standard_weight("white-crappie", lengths[1:])])

        found = relative_weight("white-crappie", lengths, heavy)

        assert found.n == 2
        assert found.mean == pytest.approx(110)

    def test_a_weighed_fish_that_is_too_short_is_not_called_unweighed(self):
        with pytest.raises(CannotEstimate) as refused:
            relative_weight("walleye", [149], [22])

        assert refused.value.code == "too_short"
        assert "250 mm" in refused.value.sentence

    def test_condition_is_told_by_length_category(self):
        lengths = np.array([140.0, 150, 210, 260, 270])
        heavy = standard_weight("white-crappie", lengths) * [0.8, 0.8, 0.9, 1.0, 1.1]

        found = relative_weight_by_length("white-crappie", lengths, heavy)

        assert list(found) == ["stock", "quality", "preferred"]
        assert [one.n for one in found.values()] == [2, 1, 2]
        assert [one.mean for one in found.values()] == pytest.approx([80, 90, 105])

    def test_fish_that_were_not_weighed_have_none(self):
        with pytest.raises(CannotEstimate) as refused:
            relative_weight("white-crappie", [250], [0])

        assert refused.value.code == "no_weights"


def grown_in(good_year, effect, fish=60, seed=1):
    """Rings of fish whose growth in one year was larger than usual, by a known share."""
    rng = np.random.default_rng(seed)
    rows = []
    for year_class in rng.integers(2016, 2023, fish):
        lengths, length = [], 0.0
        for age in range(1, 2026 - int(year_class)):
            step = 90 * 0.7 ** (age - 1) * np.exp(0.05 * rng.normal())
            length += step * (1 + effect * (year_class + age - 1 == good_year))
            lengths.append(length)
        rows.append((int(year_class), lengths))
    return rows


class TestRings:
    def test_increments_belong_to_the_year_they_grew_in(self):
        found = increments_of([(2020, [80.0, 130.0, 160.0])])

        assert found.year.tolist() == [2020, 2021, 2022]
        assert found.age.tolist() == [1, 2, 3]
        assert found.grown_mm.tolist() == [80, 50, 30]

    def test_a_good_year_is_found(self):
        effects = year_effects(increments_of(grown_in(2021, 0.3)))

        best = max(effects, key=lambda one: one.percent)
        others = np.mean([one.percent for one in effects if one is not best])
        assert best.year == 2021
        assert best.lower > 15
        # 30 % over the other years, whatever the mean of all.
        assert (1 + best.percent / 100) / (1 + others / 100) == pytest.approx(1.3, abs=0.03)

    def test_intervals_hold_nothing_where_years_were_alike(self):
        held = []
        for seed in range(30):
            effects = year_effects(increments_of(grown_in(2021, 0.0, seed=seed)))
            held += [one.lower <= 0 <= one.upper for one in effects]

        assert np.mean(held) > 0.9

    def test_an_intercept_is_found_from_the_fish(self):
        radius = np.linspace(0.3, 2.0, 30)

        assert estimated_intercept(35 + 150 * radius, radius) == pytest.approx(35)
        back = with_intercept(35 + 150 * 2.0, 2.0, 1.0, intercept_mm=35)
        assert back == pytest.approx(185)

    @pytest.mark.parametrize(
        ("ask", "code"),
        [
            (lambda: proportional(200, 1.0, [0.5, 1.2]), "outside"),
            (lambda: estimated_intercept([200] * 3, [1, 1.1, 1.2]), "too_few_fish"),
            (lambda: year_effects(increments_of([(2020, [80.0, 120.0])])), "too_few_increments"),
            (
                lambda: year_effects(
                    increments_of(
                        [(2000 + k, [80.0, 120.0 + j]) for k in (0, 10) for j in range(6)]
                    )
                ),
                "not_connected",
            ),
        ],
    )
    def test_rings_that_say_nothing_are_refused_in_words(self, ask, code):
        with pytest.raises(CannotEstimate) as refused:
            ask()

        assert refused.value.code == code
        assert refused.value.sentence.endswith(".")


class TestSetsAlike:
    """PSD of fish of net sets; stock length of crappie is 130 mm, quality length 200 mm."""

    LENGTHS = (210.0,) * 25 + (150.0,) * 50 + (210.0,) * 25

    def interval(self, sets):
        psd = size_structure("white-crappie", self.LENGTHS, sets=sets).over[0]
        return psd.lower, psd.upper

    def test_sets_of_one_kind_of_fish_each_are_worth_less_than_a_fish_a_set(self):
        """Four sets of 25 alike: deff 4/3 x 25, and t of 99 over t of 3, squared: 1.163 fish.

        Korn & Graubard (1998); Wilson's interval of 50 % of 1.163 fish by hand.
        """
        lower, upper = self.interval(np.repeat(np.arange(4), 25))

        half = 0.5 * 1.959964 / np.sqrt(1.1663 + 1.959964**2)
        assert (lower, upper) == pytest.approx((50 - 100 * half, 50 + 100 * half), abs=0.1)

    def test_fish_one_by_one_or_in_sets_as_mixed_as_chance_keep_their_interval(self):
        alone = self.interval(None)

        assert self.interval(np.arange(100)) == alone
        assert self.interval(np.zeros(100)) == alone
        mixed = self.interval(np.arange(100) % 25)
        assert mixed == pytest.approx(alone, abs=0.5)

    def test_a_share_of_none_has_an_end_at_nought(self):
        found = size_structure("white-crappie", [150.0] * 10, sets=np.arange(10) // 5)

        assert found.over[0].percent == 0
        assert found.over[0].lower == pytest.approx(0, abs=1e-9)
        assert 20 < found.over[0].upper < 40
