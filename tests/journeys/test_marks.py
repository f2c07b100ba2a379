"""A reader marks annuli on a picture: by mouse, by keys alone and by touch."""

import pytest
from playwright.sync_api import expect

from samples.models import Reading
from tests.chromium import DESK
from tests.journeys.hands import press
from tests.lab.making import put_in_lab
from tests.lab.marked import CORE, EDGE, RINGS_PX, SIZE, UM_PER_PX, make_picture
from tests.pictures.making import address

pytestmark = pytest.mark.browser


@pytest.fixture
def page(open_page, lake, vials, party, white, reader):
    put_in_lab(vials[0], party, white)
    lake.suggest_annuli = True
    lake.save()
    make_picture(vials[0], reader)
    page = open_page(DESK, user=reader, has_touch=True)
    where = address("pictures", lake).replace("/pictures/", f"/reading/{vials[0].number}/marks/")
    page.goto(where)
    expect(page.locator("[data-stage]")).to_have_attribute("data-level", "0")
    return page


def on_screen(page, x, y):
    """Return where a pixel of the picture lies on the screen, the whole picture in view."""
    box = page.locator("[data-stage]").bounding_box()
    zoom = float(page.locator("[data-viewer]").get_attribute("data-zoom"))
    return (
        box["x"] + box["width"] / 2 + (x - SIZE[0] / 2) * zoom,
        box["y"] + box["height"] / 2 + (y - SIZE[1] / 2) * zoom,
    )


def typed(page):
    """Return the distances in the list, in millimeters."""
    boxes = page.locator("[data-far]")
    return [float(boxes.nth(place).input_value()) for place in range(boxes.count())]


def test_marks_by_mouse_touch_and_keys(page):
    by_mouse(page)
    by_touch(page)
    by_keys(page)
    suggested(page)

    page.get_by_role("radio", name="4").check()
    press(page, "Save reading")

    expect(page.locator("[data-count]")).to_have_text("4 annuli")
    reading = Reading.objects.get()
    radii = list(reading.radii.order_by("annulus").values_list("radius_um", flat=True))
    assert radii == pytest.approx([one * UM_PER_PX for one in RINGS_PX], rel=0.01)
    assert reading.marked_radii.get().with_suggestion


def by_mouse(page):
    for point in (CORE, EDGE, (CORE[0] + 150, CORE[1]), (CORE[0] + RINGS_PX[1], CORE[1] + 20)):
        page.mouse.click(*on_screen(page, *point))
    expect(page.locator("[data-far]")).to_have_count(2)
    expect(page.locator(".marks-curve")).to_have_count(1)

    # The first lies a little too near the core: drag it out.
    page.mouse.move(*on_screen(page, CORE[0] + 150, CORE[1]))
    page.mouse.down()
    page.mouse.move(*on_screen(page, CORE[0] + RINGS_PX[0], CORE[1]), steps=3)
    page.mouse.up()
    expect(page.locator("[data-say]")).to_have_text("Annulus 1 moved.")
    assert typed(page) == pytest.approx([0.4, 0.65], abs=0.006)


def by_touch(page):
    page.touchscreen.tap(*on_screen(page, CORE[0] + RINGS_PX[3], CORE[1]))
    expect(page.locator("[data-far]")).to_have_count(3)
    assert typed(page)[2] == pytest.approx(0.9, abs=0.006)


def by_keys(page):
    """Nothing but keys: add, move, type a distance, delete, undo."""
    handle = page.locator("[data-handle=annulus-2]")
    handle.focus()
    page.keyboard.press("Shift+ArrowLeft")
    assert typed(page)[2] == pytest.approx(0.875, abs=0.006)
    page.keyboard.press("Delete")
    expect(page.locator("[data-far]")).to_have_count(2)
    expect(page.locator("[data-say]")).to_have_text("Annulus 3 deleted. 2 annuli marked.")

    page.get_by_role("button", name="Add annulus").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-far='2']")).to_be_focused()
    page.keyboard.type("0.95")
    page.keyboard.press("Tab")
    assert typed(page)[2] == pytest.approx(0.95, abs=0.001)
    page.get_by_role("button", name="Undo").focus()
    for count in (3, 2):
        page.keyboard.press("Enter")
        expect(page.locator("[data-far]")).to_have_count(count)


def suggested(page):
    """Suggestions are no marks: the count moves when they are accepted."""
    press(page, "Suggest annuli")
    # The other two are marked already.
    expect(page.locator("[data-act=accept]")).to_have_count(2)
    expect(page.locator("[data-far]")).to_have_count(2)
    page.locator("[data-act=accept]").first.click()
    expect(page.locator("[data-far]")).to_have_count(3)
    page.locator("[data-act=accept]").last.click()
    expect(page.locator("[data-far]")).to_have_count(4)
