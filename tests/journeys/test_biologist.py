"""The biologist: what is wanted, what the readers say, and what has come of it."""

import pytest
from playwright.sync_api import expect

from samples.models import Age, Reading, Target
from samples.rules.vial_number import grouped
from tests.chromium import DESK
from tests.journeys.hands import headed, press, sees
from tests.journeys.looks import faults_of
from tests.lab.making import put_in_lab
from tests.people import INCH

pytestmark = pytest.mark.browser

ROWS = ["9.0-9.9 in", "10.0-10.9 in"]
MOST_TABS = 60
WHY_DECIDED = "The first annulus is false on one side."


@pytest.fixture
def bench(vials, party, white):
    """Two vials of Brindle at the lab: a white crappie of 9 in and one of 10 in."""
    for vial, inches in zip(vials, (9, 10), strict=False):
        put_in_lab(vial, party, white, inches=inches)
    return vials[:2]


def cell(page, bin_head):
    """Return the figure that stands in Brindle's cell of a bin."""
    table = page.get_by_role("table")
    heads = table.locator("thead th").all_inner_texts()
    place = next(at for at, words in enumerate(heads) if words.startswith(bin_head))
    row = table.locator("tbody tr").filter(has=page.get_by_role("rowheader", name="Brindle"))
    return row.locator("th, td").nth(place).locator(".cell-figure")


def figures(page):
    press(page, "Coverage", role="link")
    return [cell(page, head).inner_text() for head in ("9.0", "10.0")]


def set_targets(page):
    press(page, "Coverage", role="link")
    page.get_by_role("link", name="targets").first.click()
    for row, wanted in zip(ROWS, ("2", "1"), strict=True):
        page.get_by_label(f"{row}, Brindle", exact=True).fill(wanted)
        page.get_by_label(f"{row}, lake-wide", exact=True).fill("3")
    press(page, "Save targets")
    sees(page, "4 targets changed.")


def field(page, vial, what):
    return page.get_by_label(f"{what}, vial {grouped(vial.number)}")


def go_by_tab(page, target):
    for _ in range(MOST_TABS):
        if target.evaluate("el => el === document.activeElement"):
            return
        page.keyboard.press("Tab")
    pytest.fail("The keyboard does not get there.")


def read_by_keyboard(page, vials, annuli, margins):
    """Type annuli and margin of one vial after the other; the mouse is not touched."""
    page.goto("/lakes/lake-orrinbeck/reading/")
    first, second = vials
    go_by_tab(page, field(page, first, "Annuli"))
    page.keyboard.type(annuli[0])
    page.keyboard.press("Tab")
    expect(field(page, first, "Margin")).to_be_focused()
    page.keyboard.type(margins[0])
    page.keyboard.press("Enter")
    expect(field(page, second, "Annuli")).to_be_focused()
    page.keyboard.press("Shift+Enter")
    expect(field(page, first, "Annuli")).to_be_focused()
    page.keyboard.press("Enter")
    expect(field(page, second, "Annuli")).to_be_focused()
    page.keyboard.type(annuli[1])
    page.keyboard.press("Tab")
    page.keyboard.type(margins[1])
    page.keyboard.press("Enter")
    for vial in vials:
        expect(page.locator(f"#row-{vial.number} [data-state-words]")).to_have_text("Saved")


def decide(page, vial, age, note):
    press(page, "Lab", role="link")
    press(page, "Consensus ages", role="link")
    headed(page, "1 age without consensus")
    sees(page, "Readers gave different ages.")
    press(page, f"Decide age of {grouped(vial.number)}", role="link")
    page.get_by_role("radio", name=f"Age {age}", exact=True).check()
    page.get_by_label("How the age was decided").select_option("concert")
    page.get_by_label("Reason", exact=True).fill(note)
    press(page, "Save decision")
    sees(page, f"{grouped(vial.number)}: age {age} is decided.")


def test_two_otoliths_from_the_scope_to_the_table(open_page, bench, biologist, reader):
    desk = open_page(DESK, user=biologist)
    second_desk = open_page(DESK, user=reader)
    shorter, longer = bench

    desk.goto("/lakes/lake-orrinbeck/")
    set_targets(desk)
    assert figures(desk) == ["0/2", "0/1"]

    # One reader's age counts, and says so.
    read_by_keyboard(desk, bench, ("3", "4"), ("4", "4"))
    assert figures(desk) == ["1/2r", "1/1r"]

    # The second reader agrees about one. About the other the age is open again.
    read_by_keyboard(second_desk, bench, ("3", "5"), ("4", "4"))
    assert figures(desk) == ["1/2", "0/1"]

    decide(desk, longer, "6", WHY_DECIDED)
    assert figures(desk) == ["1/2", "1/1"]

    press(desk, "Findings", role="link")
    shown = desk.get_by_role("table").locator("tbody td")
    expect(shown.filter(has_text="9.0")).to_have_count(1)
    expect(shown.filter(has_text="10.0")).to_have_count(1)

    ages = {age.fish.vial_id: age for age in Age.objects.select_related("fish", "decided_by")}
    assert (ages[shorter.pk].standing, ages[shorter.pk].age_years) == ("agreed", 4)
    assert (ages[longer.pk].standing, ages[longer.pk].age_years) == ("decided", 6)
    assert ages[longer.pk].note == WHY_DECIDED
    assert ages[longer.pk].decided_by == biologist
    readings = Reading.objects.order_by("reader__display_name", "vial__number")
    assert list(readings.values_list("reader__display_name", "annuli", "margin")) == [
        ("N. Aubrey", 3, 4),
        ("N. Aubrey", 4, 4),
        ("T. Vesk", 3, 4),
        ("T. Vesk", 5, 4),
    ]
    assert all(reading.length_was_hidden for reading in readings)
    floors = Target.objects.filter(arm__name="Brindle").order_by("from_hundredths_mm")
    assert list(floors.values_list("from_hundredths_mm", "wanted")) == [
        (9 * INCH, 2),
        (10 * INCH, 1),
    ]


def test_side_light_axis_and_note_are_reached_by_keyboard(open_page, bench, reader):
    desk = open_page(DESK, user=reader, reduced_motion="reduce")
    first, second = bench
    desk.goto("/lakes/lake-orrinbeck/reading/")
    go_by_tab(desk, field(desk, first, "Annuli"))
    desk.keyboard.type("4")
    desk.keyboard.press("Tab")
    desk.keyboard.type("4")

    go_by_tab(desk, desk.locator(f"#row-{first.number} summary"))
    desk.keyboard.press("Enter")
    desk.keyboard.press("Tab")
    expect(field(desk, first, "Side")).to_be_focused()
    desk.keyboard.type("Left")
    desk.keyboard.press("Tab")
    desk.keyboard.type("Refl")
    desk.keyboard.press("Tab")
    desk.keyboard.type("sulcus")
    desk.keyboard.press("Tab")
    desk.keyboard.type("check at 2")
    desk.keyboard.press("Enter")

    expect(field(desk, second, "Annuli")).to_be_focused()
    expect(desk.locator(f"#row-{first.number} [data-state-words]")).to_have_text("Saved")
    assert faults_of(desk) == []
    one = Reading.objects.get()
    assert (one.annuli, one.margin, one.side, one.light) == (4, 4, "left", "reflected")
    assert (one.axis, one.note) == ("sulcus", "check at 2")


def test_an_odd_count_is_asked_about_in_its_row(open_page, bench, reader):
    desk = open_page(DESK, user=reader, reduced_motion="reduce")
    first, second = bench
    row = desk.locator(f"#row-{first.number}")

    desk.goto("/lakes/lake-orrinbeck/reading/")
    field(desk, first, "Annuli").fill("20")
    field(desk, first, "Margin").fill("4")
    field(desk, second, "Annuli").focus()
    expect(row).to_contain_text("Is this the right vial?")
    assert Reading.objects.count() == 0
    assert faults_of(desk) == []

    row.get_by_role("button", name="Save as entered").click()
    expect(row.locator("[data-state-words]")).to_have_text("Saved")
    assert Reading.objects.get().slip_answers == ["age_above_highest"]
