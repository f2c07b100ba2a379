"""The app's page under a thumb: nothing moves, and what comes next is in view."""

import pytest
from playwright.sync_api import expect

from samples.rules.vial_number import grouped
from tests.journeys.hands import choose, press
from tests.journeys.pocket import here, link_of, log, open_party, sign_in_by_link, type_length

pytestmark = pytest.mark.browser

# As somebody has it who set the phone's letters to twice their size.
LARGE = "--blink-settings=defaultFontSize=32"


def boxes(page, *places):
    return [page.locator(place).bounding_box() for place in places]


SIZES = [
    pytest.param(360, 440, False, id="keyboard open"),
    pytest.param(360, 640, False, id="short phone"),
    pytest.param(320, 640, False, id="narrow"),
    pytest.param(320, 440, False, id="narrow, keyboard open"),
    pytest.param(360, 740, True, id="large letters"),
]
IN_VIEW = """places => {
  const bar = document.querySelector('.save-bar');
  const fixed = getComputedStyle(bar).position === 'fixed';
  const floor = fixed ? bar.getBoundingClientRect().top : innerHeight;
  const stuck = [...document.querySelectorAll('#saved, #now, #correcting')]
    .filter(el => el.checkVisibility() && getComputedStyle(el).position === 'sticky')
    .map(el => el.getBoundingClientRect().bottom);
  const ceiling = Math.max(0, ...stuck);
  return places.filter(place => {
    const box = document.querySelector(place).getBoundingClientRect();
    return box.top < ceiling - 0.5 || box.bottom > floor + 0.5;
  });
}"""


@pytest.mark.parametrize(("width", "height", "large"), SIZES)
def test_after_a_save_what_comes_next_is_in_view(
    pocket, guide, biologist, thirty, width, height, large
):
    page = pocket.start(flags=[LARGE] if large else [])
    sign_in_by_link(pocket, link_of(guide, biologist).token)
    open_party(page)
    pocket.offline()
    page.set_viewport_size({"width": width, "height": height})
    choose(page, "Species", "White crappie")
    choose(page, "Sex", "Female")
    wanted = ["#fish-length-field"] if large else ["#fish-length-field", "#fish-sex-field"]
    for keys in ["9.1", "10.4", "8.7"]:
        type_length(page, keys)
        choose(page, "Sex", "Male")
        page.locator("#fish-save").tap()
        expect(page.locator("#fish-length")).to_have_value("")
        expect(page.locator("#fish-length")).to_be_focused()
        assert page.evaluate(IN_VIEW, wanted) == []
    # From the second fish on even the page stands still.
    before = boxes(page, *wanted)
    type_length(page, "9.9")
    choose(page, "Sex", "Male")
    page.locator("#fish-save").tap()
    expect(page.locator("#fish-length")).to_have_value("")
    assert boxes(page, *wanted) == before


STAYS = [".state", "#saved", "#fish-vial-field", "#fish-length-field", "#fish-sex-field"]
STAYS += ["#count-sent", "#count-look", *(f"#fish-sex label:nth-child({n})" for n in (1, 2, 3, 4))]


def test_nothing_moves_when_notices_go_or_something_is_chosen(at_ramp):
    page = at_ramp.page
    expect(page.locator("#signal-more")).to_have_text("All sent.")
    at_ramp.offline()
    choose(page, "Species", "White crappie")
    top = boxes(page, *STAYS)
    log(page, "9.1", sex="Male")
    page.evaluate("window.scrollTo(0, 0)")
    assert boxes(page, *STAYS) == top
    page.clock.fast_forward(60_000)
    expect(page.locator("#saved")).to_contain_text("9.1 in")
    assert boxes(page, *STAYS) == top
    for sex in ["Female", "Male", "Immature", "Not known"]:
        choose(page, "Sex", sex)
        assert boxes(page, *STAYS) == top
    for species in ["Black crappie", "Hybrid crappie"]:
        choose(page, "Species", species)
        assert boxes(page, *STAYS) == top
    for place in range(10):
        log(page, f"9.{place}")
    here(page, 11)
    page.evaluate("window.scrollTo(0, 0)")
    assert boxes(page, *STAYS) == top
    page.clock.fast_forward(2_000)
    page.locator("#saved").get_by_role("button", name="Undo").tap()
    expect(page.locator("#saved")).to_contain_text("Deleted")
    assert boxes(page, *STAYS) == top


def test_with_the_keyboard_open_what_stays_sticks_in_one_line(at_ramp, thirty):
    page = at_ramp.page
    page.set_viewport_size({"width": 360, "height": 440})
    log(page, "9.1", species="White crappie")
    now = page.locator("#now")
    expect(now).to_contain_text(f"{grouped(thirty[1].number)} White crappie, Brindle")
    assert now.bounding_box()["height"] <= 50
    assert page.evaluate(IN_VIEW, ["#fish-length-field", "#fish-sex-field"]) == []
    # A tap on it leads to what it says.
    now.tap()
    assert page.evaluate(IN_VIEW, ["#fish-vial-field"]) == []


@pytest.mark.parametrize("height", [740, 440])
def test_what_is_corrected_and_the_way_out_are_in_view(at_ramp, thirty, height):
    page = at_ramp.page
    at_ramp.offline()
    page.set_viewport_size({"width": 360, "height": height})
    number = grouped(thirty[0].number)
    log(page, "9.1", species="White crappie")
    press(page, f"Correct {number}")
    said = page.locator("#correcting")
    expect(said).to_contain_text(f"Correcting {number}, White crappie 9.1 in")
    expect(page.locator("#fish-save")).to_have_text("Save correction")
    assert page.evaluate(IN_VIEW, ["#fish-length-field"]) == []
    for top in (0, 200, 5_000):
        page.evaluate("top => window.scrollTo(0, top)", min(top, 600))
        expect(said.get_by_role("button", name="Cancel")).to_be_in_viewport(ratio=1)
    press(page, "Cancel")
    expect(said).to_be_hidden()
    expect(page.locator("#fish-vial")).to_have_value(grouped(thirty[1].number))
