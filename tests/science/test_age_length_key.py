"""The key: bins without ages, certainty that is none, parties, truth found again, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.science.age_length_key import (
    NO_AGE,
    age_structure,
    draw_ages,
    key_from_counts,
    numbers_at_age,
    observed_key,
    resample_fish,
    resample_parties,
    resampled,
    smoothed_key,
    softened_shares,
)
from samples.science.errors import CannotEstimate
from samples.science.weighted_mean import weighted_mean

WIDTH = 25.4
EDGES = np.arange(2, 16) * WIDTH


def stock(rng, n):
    """Return fish whose lengths of one age overlap with those of the next."""
    ages = rng.choice(np.arange(1, 7), n, p=[0.3, 0.25, 0.2, 0.12, 0.08, 0.05])
    lengths = 330 * (1 - np.exp(-0.4 * (ages + 0.4))) * (1 + 0.08 * rng.normal(size=n))
    return ages, lengths


def picked(rng, lengths, per_bin=10):
    bins = (lengths // WIDTH).astype(int)
    return np.concatenate(
        [rng.permutation(np.flatnonzero(bins == one))[:per_bin] for one in np.unique(bins)]
    )


class TestObserved:
    def test_a_fish_on_an_edge_is_in_the_bin_above(self):
        key = observed_key([7 * WIDTH], [2], [7 * WIDTH - 0.01, 7 * WIDTH], lower_edges=EDGES)

        assert key.measured[4:6].tolist() == [1, 1]
        assert key.counts[5].tolist() == [1]

    def test_bins_that_say_little_are_named(self):
        key = key_from_counts(
            [[3, 2], [1, 0], [0, 4], [0, 0]], [9, 5, 7, 6], lower_edges=EDGES[:4], ages=[1, 2]
        )

        assert key.without_ages.tolist() == [EDGES[3]]
        assert key.no_age_known == 6
        assert key.one_fish.tolist() == [EDGES[1]]
        assert key.one_age.tolist() == [EDGES[2]]

    def test_measured_fish_without_an_age_are_counted_and_not_dropped(self):
        key = key_from_counts([[3, 1], [0, 0]], [8, 2], lower_edges=EDGES[:2], ages=[1, 2])

        found = age_structure(key)

        assert found.shares.sum() + found.share_no_age_known == pytest.approx(1)
        assert (found.no_age_known, found.measured) == (2, 10)

    def test_a_bin_of_one_age_is_not_certain(self):
        key = key_from_counts([[3, 2], [0, 10]], [9, 50], lower_edges=EDGES[:2], ages=[1, 2])

        soft = softened_shares(key)

        assert soft[0].tolist() == key.shares[0].tolist()
        # Half a fish of each age that it and its neighbour show, beside its ten.
        assert soft[1] == pytest.approx([0.5 / 11, 10.5 / 11])
        plain = age_structure(key, prior_weight=0).standard_errors
        assert (age_structure(key).standard_errors > plain).all()

    @pytest.mark.parametrize(
        ("lengths", "ages", "measured", "code"),
        [
            ([], [], [100], "no_fish"),
            ([100], [1], [], "no_fish"),
            ([10, 120], [1, 2], [100], "fish_below_bins"),
        ],
    )
    def test_poor_data_are_refused_in_words(self, lengths, ages, measured, code):
        with pytest.raises(CannotEstimate) as refused:
            observed_key(lengths, ages, measured, lower_edges=EDGES)

        assert refused.value.code == code
        assert refused.value.sentence.endswith(".")

    @pytest.mark.parametrize(
        ("lengths", "ages", "words"),
        [
            ([100, np.nan], [1, 2], "finite"),
            ([100, -5], [1, 2], "above zero"),
            ([100, 120], [1, -2], "negative"),
            ([100, 120], [1, 1.5], "whole"),
            ([100, 120], [1, 2021], "calendar"),
        ],
    )
    def test_what_is_no_fish_is_a_bad_argument(self, lengths, ages, words):
        with pytest.raises(ValueError, match=words):
            observed_key(lengths, ages, [100], lower_edges=EDGES)

    def test_one_age_makes_no_structure(self):
        key = observed_key([100, 110], [2, 2], [100, 120], lower_edges=EDGES)

        with pytest.raises(CannotEstimate) as refused:
            age_structure(key)
        assert refused.value.code == "one_age"


class TestTruth:
    def test_intervals_hold_the_true_shares_about_as_often_as_they_say(self):
        truth = np.array([0.3, 0.25, 0.2, 0.12, 0.08, 0.05])
        held = []
        for seed in range(60):
            rng = np.random.default_rng(seed)
            ages, lengths = stock(rng, 1_000)
            aged = picked(rng, lengths, per_bin=15)
            key = observed_key(lengths[aged], ages[aged], lengths, lower_edges=EDGES)
            found = age_structure(key)
            held.append((found.lower <= truth) & (truth <= found.upper))

        assert 0.9 <= np.mean(held) <= 0.99

    def test_aged_fish_alone_would_show_the_shape_of_the_target(self):
        rng = np.random.default_rng(2)
        ages, lengths = stock(rng, 4_000)
        aged = picked(rng, lengths)
        key = observed_key(lengths[aged], ages[aged], lengths, lower_edges=EDGES)

        old = age_structure(key).shares[3:].sum()
        alone = np.mean(ages[aged] >= 4)

        assert old == pytest.approx(0.25, abs=0.04)
        assert alone > 0.35

    def test_fish_of_a_party_alike_make_wider_intervals(self):
        rng = np.random.default_rng(3)
        party = np.repeat(np.arange(40), 20)
        ages = 1 + (rng.random(40) < 0.5)[party] + (rng.random(800) < 0.2)
        lengths = 100.0 + 30 * ages + rng.normal(0, 10, 800)
        given = np.where(np.arange(800) % 2 == 0, ages, NO_AGE)
        some = given >= 0
        key = observed_key(lengths[some], ages[some], lengths, lower_edges=EDGES)

        alone = resample_fish(key, rng, draws=600)
        together = resample_parties(key, rng, lengths=lengths, ages=given, parties=party, draws=600)

        assert together.shares[:, 0].std() > 1.5 * alone.shares[:, 0].std()
        assert together.shares.sum(axis=1) == pytest.approx(
            1 - together.no_age_known / 800, abs=0.06
        )

    def test_spread_is_that_of_parties_and_of_the_fish_within_them(self):
        rng = np.random.default_rng(9)
        party = np.repeat(np.arange(60), rng.integers(1, 12, 60))
        ages = 1 + (rng.random(party.size) < rng.random(60)[party])
        lengths = rng.choice(EDGES[:2], party.size) + 1
        key = observed_key(lengths, ages, lengths, lower_edges=EDGES)

        found = resample_parties(
            key, rng, lengths=lengths, ages=ages, parties=party, draws=20_000
        ).numbers[:, 0]

        # Davison & Hinkley (1997), 3.8: variance between parties, and within those drawn.
        sizes, young = np.bincount(party), np.bincount(party, weights=ages == 1)
        variance = np.sum((young - young.mean()) ** 2) + np.sum(young * (1 - young / sizes))
        # Means and deviations of 20,000 draws: four times their standard errors.
        assert found.mean() == pytest.approx(young.sum(), abs=4 * np.sqrt(variance / 20_000))
        assert found.std() == pytest.approx(np.sqrt(variance), rel=4 / np.sqrt(40_000))

    def test_fish_that_were_picked_stand_in_the_key_alone(self):
        key = key_from_counts([[4, 4]], [6], lower_edges=EDGES[:1], ages=[1, 2])
        given = np.array([1] * 4 + [2] * 4 + [-1] * 4)

        found = resample_parties(
            key,
            np.random.default_rng(10),
            lengths=np.full(12, EDGES[0] + 1),
            ages=given,
            parties=np.arange(12) % 2,
            draws=200,
            of_sample=given < 2,
        )

        # Two parties of four sampled fish in six each: none counts the picked ones.
        assert found.numbers.sum(axis=1).mean() == pytest.approx(8, abs=0.5)

    def test_a_bin_of_one_age_is_not_certain_by_parties_either(self):
        key = key_from_counts([[20, 20], [0, 60]], [40, 60], lower_edges=EDGES[:2], ages=[1, 2])

        found = resample_parties(
            key,
            np.random.default_rng(7),
            lengths=np.full(60, EDGES[1] + 1),
            ages=np.full(60, 2),
            parties=np.arange(60) % 10,
            draws=1_000,
        )

        # Half a fish of age 1 in 61.
        assert found.shares[:, 0].mean() == pytest.approx(0.5 / 61, abs=0.0015)

    def test_many_fish_are_drawn_a_few_resamples_at_a_time(self, monkeypatch):
        monkeypatch.setattr(resampled, "MOST_DRAWN", 100)
        rng = np.random.default_rng(8)
        ages, lengths = stock(rng, 30)
        key = observed_key(lengths, ages, lengths, lower_edges=EDGES)

        found = resample_parties(
            key, rng, lengths=lengths, ages=ages, parties=np.arange(30) // 3, draws=10
        )

        assert found.numbers.sum(axis=1) + found.no_age_known == pytest.approx(np.full(10, 30))

    @pytest.mark.parametrize("odd", [9, np.nan])
    def test_ages_that_the_key_has_not_are_a_bad_argument(self, odd):
        key = key_from_counts([[2, 1]], [7], lower_edges=EDGES[:1], ages=[1, 2])

        with pytest.raises(ValueError, match=r"^ages "):
            resample_parties(
                key,
                np.random.default_rng(1),
                lengths=[60, 61],
                ages=[1, odd],
                parties=[1, 2],
                draws=5,
            )

    def test_the_naive_way_to_resample_agrees(self):
        rng = np.random.default_rng(4)
        ages, lengths = stock(rng, 400)
        aged = picked(rng, lengths, per_bin=8)
        key = observed_key(lengths[aged], ages[aged], lengths, lower_edges=EDGES)
        bins = (lengths // WIDTH).astype(int) - 2
        naive = []
        for _ in range(800):
            drawn = bins[rng.integers(0, bins.size, bins.size)]
            number = np.zeros(key.ages.size)
            for place in np.flatnonzero(key.known):
                fish = ages[aged][bins[aged] == place]
                again = fish[rng.integers(0, fish.size, fish.size)]
                share = np.bincount(again - key.ages[0], minlength=key.ages.size) / fish.size
                number += np.sum(drawn == place) * share
            naive.append(number / bins.size)

        found = resample_fish(key, rng, draws=4_000).shares

        certain = key.seem_certain[key.known].any()
        assert found.mean(axis=0) == pytest.approx(np.mean(naive, axis=0), abs=0.015)
        assert found.std(axis=0) == pytest.approx(np.std(naive, axis=0), abs=0.008 + 0.01 * certain)


class TestDrawnAges:
    @given(st.integers(0, 2**32 - 1))
    def test_each_fish_gets_an_age_of_its_bin(self, seed):
        key = key_from_counts([[2, 1], [0, 3]], [7, 5], lower_edges=EDGES[:2], ages=[1, 2])
        lengths = np.repeat(EDGES[:2] + 3, [7, 5])

        found = draw_ages(lengths, key, np.random.default_rng(seed))

        assert set(found.ages[:7]) == {1, 2}
        assert (found.ages[7:] == 2).all()
        assert found.no_age_known == 0

    def test_over_many_draws_each_age_gets_its_share(self):
        key = key_from_counts([[2, 1]], [7], lower_edges=EDGES[:1], ages=[1, 2])
        rng = np.random.default_rng(1)
        ones = [np.sum(draw_ages([60.0] * 7, key, rng).ages == 1) for _ in range(2_000)]

        assert np.mean(ones) == pytest.approx(14 / 3, abs=0.03)
        assert set(ones) == {4, 5}

    def test_a_bin_without_ages_gives_none(self):
        key = key_from_counts([[2, 1], [0, 0]], [7, 5], lower_edges=EDGES[:2], ages=[1, 2])

        found = draw_ages([EDGES[1] + 1], key, np.random.default_rng(1))

        assert found.ages.tolist() == [NO_AGE]
        assert found.no_age_known == 1


class TestSmoothed:
    def test_bins_without_aged_fish_get_ages_too(self):
        rng = np.random.default_rng(5)
        ages, lengths = stock(rng, 400)

        key = smoothed_key(lengths, ages, lower_edges=EDGES, bin_width=WIDTH)

        assert key.shares.sum(axis=1) == pytest.approx(np.ones(EDGES.size))
        measured = np.histogram(lengths, [*EDGES, 900])[0]
        assert numbers_at_age(key, measured)[:2] / 400 == pytest.approx([0.3, 0.25], abs=0.05)

    @pytest.mark.parametrize(
        ("n", "age", "code"), [(60, None, "too_few_fish"), (120, 3, "one_age")]
    )
    def test_too_little_is_refused_in_words(self, n, age, code):
        ages, lengths = stock(np.random.default_rng(6), n)
        ages = ages if age is None else np.full(n, age)

        with pytest.raises(CannotEstimate) as refused:
            smoothed_key(lengths, ages, lower_edges=EDGES, bin_width=WIDTH)

        assert refused.value.code == code

    def test_fish_of_one_length_are_refused(self):
        with pytest.raises(CannotEstimate) as refused:
            smoothed_key(
                np.full(120, 200.0), np.tile([1, 2, 3], 40), lower_edges=EDGES, bin_width=WIDTH
            )

        assert refused.value.code == "same_length"

    def test_ages_that_length_parts_without_overlap_are_refused(self):
        ages = np.repeat([1, 2, 3], 50)
        lengths = 60.0 * ages + np.tile(np.arange(50) / 10, 3)

        with pytest.raises(CannotEstimate) as refused:
            smoothed_key(lengths, ages, lower_edges=EDGES, bin_width=WIDTH)

        assert refused.value.code == "no_convergence"


class TestWeightedMean:
    def test_sd_is_that_of_the_fish_that_were_measured(self):
        """Ten fish aged of each inch of 20,000 that are normal about 250 mm with an sd of 20."""
        rng = np.random.default_rng(5)
        lengths = rng.normal(250, 20, 20_000)
        bins = (lengths // 25.4).astype(int)
        picked = np.concatenate([np.flatnonzero(bins == one)[:10] for one in np.unique(bins)])
        counts = np.bincount(bins)
        weights = counts[bins[picked]] / np.bincount(bins[picked])[bins[picked]]

        found = weighted_mean(lengths[picked], weights)

        assert found.sd == pytest.approx(20, abs=1.5)
        assert lengths[picked].std(ddof=1) > 25  # of the aged fish alone it is too wide

    def test_equal_weights_give_the_plain_mean_and_interval(self):
        found = weighted_mean([9.0, 10.0, 11.0], [2, 2, 2])

        # t(0.975, 2) = 4.303; sd 1 of three.
        assert found.mean == 10
        assert found.upper == pytest.approx(10 + 4.30265 / np.sqrt(3), rel=1e-5)

    def test_two_fish_have_no_interval_and_none_no_mean(self):
        assert weighted_mean([9, 10], [1, 1]).lower is None
        with pytest.raises(CannotEstimate):
            weighted_mean([], [])
