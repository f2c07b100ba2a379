"""What a finding is expected to cost decides who works it out: the page, or a worker beside it."""

import pytest

from samples.computations.results import PastCost, save_cost
from samples.findings.cost import Cost, expected_cost
from samples.findings.topics import TOPICS

pytestmark = pytest.mark.django_db


def test_is_guessed_first_and_known_from_the_last_time_after(season):
    guess = expected_cost(TOPICS["growth"], "q", 5_000)
    save_cost("q", PastCost(size=1_000, seconds=0.1))

    assert guess.seconds > 0.3
    assert expected_cost(TOPICS["growth"], "q", 1_000) == Cost(0.1)
    # Three times the fish take three times as long; fewer are not counted on to take less.
    assert expected_cost(TOPICS["growth"], "q", 3_000).seconds == pytest.approx(0.3)
    assert expected_cost(TOPICS["growth"], "q", 10).seconds == pytest.approx(0.1)


@pytest.mark.parametrize(("expected", "fits"), [(Cost(0.19), True), (Cost(0.21), False)])
def test_fits_on_the_page_up_to_a_fifth_of_a_second(expected, fits):
    assert expected.fits_on_page is fits
