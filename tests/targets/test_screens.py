"""The pages in a real browser: no barriers, nothing wider than the screen, one yellow thing."""

import pytest

from samples.models import Age, Target
from tests.chromium import DESK, PHONE
from tests.people import NOW
from tests.targets.fish import INCH, make_fish

PAGES = ["coverage/", "fish/", "targets/", "length-at-age/"]


@pytest.fixture
def season_under_way(party, white, season, lake):
    """Aged fish in one arm, none in another, and targets for both."""
    for inches in (8, 9, 10, 11):
        for arm in [None, *lake.arms.all()]:
            Target.objects.create(
                season=season,
                species=white,
                arm=arm,
                from_hundredths_mm=inches * INCH,
                below_hundredths_mm=(inches + 1) * INCH,
                wanted=2 if arm else 10,
            )
        for fish in make_fish(party, white, inches + 0.3, count=2):
            Age.objects.create(
                fish=fish, standing="agreed", age_years=inches - 6, rule="test", worked_out_at=NOW
            )
    return lake


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("kind", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("address", PAGES)
def test_page(open_page, axe, season_under_way, biologist, kind, address):
    page = open_page(kind, user=biologist)

    page.goto(f"/lakes/{season_under_way.slug}/{address}")

    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.locator(".button-next").count() <= 1
