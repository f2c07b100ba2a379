"""A reader uploads a day's pictures, matches them to vials and looks at one, near."""

import pytest
from playwright.sync_api import expect

from samples.models import Picture
from samples.rules.vial_number import grouped
from tests.chromium import DESK
from tests.journeys.hands import press
from tests.pictures.making import address, jpeg

pytestmark = pytest.mark.browser

SMALL, LARGE = (64, 64), (1600, 1400)


@pytest.fixture
def day(tmp_path, vials):
    """Return 50 files: both otoliths of 24 vials, and two with names that say no vial."""
    folder = tmp_path / "day"
    folder.mkdir()
    names = [f"{grouped(vial.number)} {side}" for vial in vials[:24] for side in ("left", "right")]
    for shift, name in enumerate([*names, "IMG_0001", f"{grouped(vials[0].number)[:-1]}x"]):
        (folder / f"{name}.jpg").write_bytes(jpeg(SMALL if shift else LARGE, shift))
    return sorted(folder.iterdir())


def zoom_of(page):
    return float(page.locator("[data-viewer]").get_attribute("data-zoom"))


def zooms(page, before):
    """Wait until the picture is drawn at another zoom, and return that."""
    page.wait_for_function(
        "before => Number(document.querySelector('[data-viewer]').dataset.zoom) !== before",
        arg=before,
    )
    return zoom_of(page)


def pinch(page, box):
    """Part two fingers on the picture."""
    session = page.context.new_cdp_session(page)
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def touch(kind, apart=None):
        at = [{"x": x + side * apart, "y": y, "id": side + 1} for side in (-1, 1)] if apart else []
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})

    touch("touchStart", 40)
    touch("touchMove", 80)
    touch("touchEnd")


def test_a_day_of_pictures(open_page, lake, vials, reader, day):
    page = open_page(DESK, user=reader, has_touch=True)
    page.goto(address("upload", lake))
    page.set_input_files("#id_files", day)
    expect(page.locator("[data-bar]")).to_have_js_property("value", 50, timeout=60_000)
    expect(page.locator("[data-code=matched]")).to_have_count(48)
    expect(page.locator("[data-code=aside]")).to_have_count(2)

    press(page, "Confirm vials", role="link")
    page.locator(f"[name='{Picture.objects.get(original_name='IMG_0001.jpg').pk}-vial']").fill(
        grouped(vials[29].number)
    )
    press(page, "Confirm vials")
    expect(page.locator(".confirm-row")).to_have_count(1)
    assert Picture.objects.filter(vial__isnull=False).count() == 49
    assert Picture.objects.get(original_name="IMG_0001.jpg").vial == vials[29]

    look_near(page, Picture.objects.get(width_px=LARGE[0]), lake)


def look_near(page, picture, lake):
    page.goto(address("picture", lake, picture.pk))
    stage = page.locator("[data-stage]")
    expect(stage).to_have_attribute("data-level", "1")
    whole = zoom_of(page)

    box = stage.bounding_box()
    page.mouse.move(box["x"] + 300, box["y"] + 200)
    # Until the picture is taken in hand, the wheel scrolls the page past it.
    page.mouse.wheel(0, 60)
    page.wait_for_function("() => window.scrollY > 0")
    page.mouse.wheel(0, -60)
    page.wait_for_function("() => window.scrollY === 0")
    assert zoom_of(page) == whole

    stage.press("+")
    by_key = zooms(page, whole)
    page.mouse.wheel(0, -300)
    by_wheel = zooms(page, by_key)
    expect(stage).to_have_attribute("data-level", "2")
    pinch(page, box)
    by_fingers = zooms(page, by_wheel)
    stage.press("0")
    again = zooms(page, by_fingers)

    assert whole < by_key < by_wheel < by_fingers
    assert again == whole
    page.locator("[data-adjust=invert]").check()
    expect(page.locator("canvas")).to_have_css("filter", "brightness(1) contrast(1) invert(1)")
