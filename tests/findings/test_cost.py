"""What a finding is expected to cost decides who works it out: the page, or a worker beside it."""

import pytest
from django.utils.datastructures import MultiValueDict

from samples.computations.results import PastCost, save_cost
from samples.findings import cost
from samples.findings.computed import Rights, read_question
from samples.findings.cost import Cost, expected_cost
from samples.findings.topics import TOPICS

pytestmark = pytest.mark.django_db


def test_is_guessed_first_and_known_from_the_last_time_after(season):
    guess = expected_cost(TOPICS["growth"], "q", 5_000)
    save_cost("q", PastCost(size=1_000, seconds=0.1, draws=True))

    assert guess.seconds > 1
    assert expected_cost(TOPICS["growth"], "q", 1_000) == Cost(0.1)
    # Three times the fish take three times as long; fewer are not counted on to take less.
    assert expected_cost(TOPICS["growth"], "q", 3_000).seconds == pytest.approx(0.3)
    assert expected_cost(TOPICS["growth"], "q", 10).seconds == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("expected", "drawing", "fits"),
    [
        (Cost(0.19), "sys", True),
        (Cost(0.21), "sys", False),
        # Loading the drawing would take longer than the page.
        (Cost(0.01), "not.loaded", False),
        (Cost(0.01, draws=False), "not.loaded", True),
    ],
)
def test_fits_on_the_page_up_to_a_fifth_of_a_second(monkeypatch, expected, drawing, fits):
    monkeypatch.setattr(cost, "DRAWING", drawing)

    assert expected.fits_on_page is fits


def test_an_answer_with_links_is_not_that_of_somebody_who_may_not_follow_them(lake, season, white):
    keys = {
        read_question(
            lake,
            TOPICS["growth"],
            MultiValueDict(),
            rights=Rights(linked=linked),
            today=season.starts_on,
        )[1].key
        for linked in (True, False)
    }

    assert len(keys) == 2
