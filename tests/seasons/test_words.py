"""What the biologist reads of a season, word for word."""

from datetime import date

import pytest

from samples.seasons.presenters.words import refusal
from tests.seasons.test_progress import fill, look
from tests.targets.test_queries import want

__all__ = ["fill", "look"]  # fixtures


@pytest.mark.django_db
class TestWords:
    def test_of_a_closed_season(self, fill, look, season, white):
        fill(60)
        want(season, white, 8, 90)

        found = look(day=date(2027, 2, 1))

        short = found.fillings[0].short
        assert found.headline == f"The season ended {short} white crappie short"
        assert found.lead[0] == f"{90 - short} of 90 collected."

    def test_of_an_empty_season(self, look, season, white):
        want(season, white, 8, 20)

        found = look(day=date(2026, 1, 20))

        assert found.headline == "0 of 20 white crappie collected"
        assert found.lead[0] == "0 of 20 collected; an even pace is 1 by today."
        assert found.lead[1] == (
            "Too early for a forecast: it takes 6 full weeks of this season, or last season with "
            "10 dated fish."
        )

    def test_of_too_few_fish(self):
        assert refusal("few_fish") == (
            "Too few fish for a forecast: it takes 10, of this season or the last."
        )
