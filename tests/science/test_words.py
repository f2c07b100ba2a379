"""What estimators say to a biologist, word for word."""

import numpy as np
import pytest

from samples.science.agreement import agreement
from samples.science.errors import CannotEstimate
from samples.science.size_structure import relative_weight, size_structure
from samples.science.year_class import finding, shares_of_classes

READ = np.repeat([2, 3, 4, 5], 20)


@pytest.mark.parametrize(
    ("other", "meaning"),
    [
        (
            READ + (np.arange(80) % 2),
            "Aubrey reads older than Vesk more often than chance would have it.",
        ),
        (READ, "Vesk and Aubrey read every fish alike."),
        (
            READ + np.tile([1, -1, 0, 0], 20),
            "Vesk and Aubrey differ no more to one side than chance would have it.",
        ),
    ],
    ids=["older", "alike", "by chance"],
)
def test_who_reads_older(other, meaning):
    found = agreement(READ, other, names=("Vesk", "Aubrey"))

    assert found.symmetry[0].meaning == meaning


@pytest.mark.parametrize(
    ("numbers", "sentence"),
    [
        ([10, 20, 130, 40], "More than half of the 2026 fish were hatched in 2023."),
        (
            [40, 30, 90, 40],
            "The largest share of the 2026 fish, about 45%, was hatched in 2023.",
        ),
        ([50, 52, 49, 49], "No year class clearly makes the largest share of the 2026 fish."),
    ],
)
def test_which_class_makes_most_of_the_fish(numbers, sentence):
    drawn = np.random.default_rng(1).multinomial(200, np.array(numbers) / sum(numbers), size=500)
    shares = shares_of_classes(range(1, len(numbers) + 1), numbers, drawn, season_year=2026)

    assert finding(shares, season="2026") == sentence


@pytest.mark.parametrize("species", ["striped-bass", "saugeye", "white-bass"])
def test_what_is_missing_here_is_not_said_to_be_unpublished(species):
    """Others may have published it: all that is known is that it is not here."""
    for estimate in (
        lambda: size_structure(species, [400]),
        lambda: relative_weight(species, [400], [900]),
    ):
        with pytest.raises(CannotEstimate) as refused:
            estimate()
        assert "for this species here" in refused.value.sentence
        assert "published" not in refused.value.sentence
