"""The pages in a real browser: no barriers, nothing wider than the screen, one yellow thing."""

import pypdfium2
import pytest
from playwright.sync_api import expect

from samples.models import Age, Arm
from tests.chromium import DESK, PHONE
from tests.people import NOW
from tests.targets.fish import make_fish
from tests.targets.pages import want

PAGES = ["coverage/", "fish/", "targets/", "length-at-age/"]


@pytest.fixture
def season_under_way(party, white, season, lake):
    """Return aged fish in one arm, none in another, and targets for both."""
    for inches in (8, 9, 10, 11):
        for arm in [None, *lake.arms.all()]:
            want(season, white, inches, 2 if arm else 10, arm)
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


@pytest.fixture
def fifteen_bins(party, white, season, lake):
    """Five arms, two of them with long names, and targets for 15 bins of an inch."""
    return with_bins(range(2, 17), party, white, season, lake)


@pytest.fixture
def nineteen_bins(party, white, season, lake):
    """Return the same arms for a longer fish, and too few fish of any bin."""
    return with_bins(range(5, 24), party, white, season, lake)


def with_bins(bins, party, white, season, lake):
    for position, name in enumerate(["Saltlick Landing", "Upper Wrenfold"], start=3):
        Arm.objects.create(lake=lake, name=name, position=position)
    for inches in bins:
        for arm in [None, *lake.arms.all()]:
            want(season, white, inches, 12 if arm else 120, arm)
        make_fish(party, white, inches + 0.3, count=11)
    return lake


# What is cut off at the right edge of the window, or scrolls inside its frame.
HEADS = ".matrix thead th"
CUT_OFF = """() => [...document.querySelectorAll('.matrix tr > *')]
  .filter(cell => cell.getBoundingClientRect().right > innerWidth
    || cell.scrollWidth > cell.clientWidth + 1).map(cell => cell.innerText)"""


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_fifteen_bins_fit_a_desk_and_print_on_one_sheet(
    open_page, fifteen_bins, biologist, tmp_path
):
    page = open_page(DESK, user=biologist)

    page.goto(f"/lakes/{fifteen_bins.slug}/coverage/")

    assert page.locator(HEADS).count() == 17
    assert page.evaluate(CUT_OFF) == []
    for paper in ("Letter", "A4"):
        page.pdf(path=tmp_path / f"{paper}.pdf", prefer_css_page_size=True, format=paper)
        document = pypdfium2.PdfDocument(tmp_path / f"{paper}.pdf")
        assert len(document) == 1
        assert document[0].get_textpage().get_text_range().count("Lake target") == 1


# Letter lying down, less the margins that the style sheet gives it.
LYING = {"width": 980, "height": 700}


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_nineteen_bins_print_none_over_another(open_page, nineteen_bins, biologist):
    page = open_page({"viewport": LYING}, user=biologist)
    page.emulate_media(media="print")

    page.goto(f"/lakes/{nineteen_bins.slug}/coverage/")

    assert page.locator(HEADS).count() == 21
    assert page.evaluate(CUT_OFF) == []


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_the_slider_tells_its_number_and_the_cv_before_it_is_asked(
    open_page, season_under_way, biologist
):
    page = open_page(DESK, user=biologist)
    page.goto(f"/lakes/{season_under_way.slug}/coverage/worth/?more=0")
    slider = page.get_by_role("slider")
    before = page.locator(".slide-cv").inner_text()

    slider.press("End")

    expect(page.locator(".slide-value")).to_have_text("300")
    expect(page.locator(".slide-cv")).not_to_have_text(before)
    page.get_by_role("button", name="Update").click()
    page.wait_for_url("**more=300**")
    expect(page.locator(".slide-value")).to_have_text("300")
