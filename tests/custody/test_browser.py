"""Clear, archive, find: by a scanner that types, in a real browser."""

import pytest
from playwright.sync_api import expect

from samples.models import ArchiveBox, ClearingTray, Vial
from tests.chromium import DESK
from tests.custody.rows import read, receive
from tests.journeys.hands import headed, press, sees
from tests.vials.numbers import number

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

COUNT = 4


def scan(page, typed):
    """Type key by key and end with Enter, as a scanner does, whatever the page is about."""
    page.keyboard.type(typed)
    page.keyboard.press("Enter")


def answered(page):
    """Wait until every scan has its answer."""
    expect(page.locator("html:not([data-scanning])")).to_be_attached(timeout=15_000)


def test_a_tray_is_cleared_archived_and_found_again(open_page, lake, vials, office, guide):
    here = receive(vials[:COUNT], office, issued_to=guide)
    page = open_page(DESK, user=office)
    page.goto("/lakes/lake-orrinbeck/")
    press(page, "Lab", role="link")
    press(page, "Clearing", role="link")
    page.get_by_role("textbox", name="Tray").fill("C-14")
    press(page, "Start tray")
    headed(page, "Put vials in tray C-14")

    # No hand leaves the scanner: nothing is waited for between one scan and the next.
    for place in (1, 2, 2, 3, 900, 4):
        scan(page, number(place))
    answered(page)
    tally = page.locator(".scan-tally")
    expect(tally).to_have_text(f"{COUNT} of R. Ostrow's {COUNT}")
    # What was refused on the way is still in sight.
    expect(page.locator("[data-fixes] li")).to_have_count(1)
    page.keyboard.press("Control+z")
    expect(tally).to_have_text(f"{COUNT - 1} of R. Ostrow's {COUNT}")
    scan(page, "0004")
    expect(tally).to_have_text(f"{COUNT} of R. Ostrow's {COUNT}")
    press(page, "Rinse and dry tray")
    press(page, "Rinse and dry now")
    headed(page, "Clearing")
    assert Vial.objects.filter(state="ready").count() == COUNT
    assert ClearingTray.objects.get().dried_on is not None

    read(here, office)
    press(page, "Archive", role="link")
    page.get_by_role("textbox", name="Box").fill("26-04")
    press(page, "Add box")
    headed(page, "Archive vials in box 26-04")
    for place in range(1, COUNT + 1):
        scan(page, number(place))
    answered(page)
    expect(page.locator(".scan-tally")).to_have_text(f"{COUNT} of {COUNT} in tray C-14")
    expect(page.locator("#id_slot")).to_have_value("A5")
    expect(page.locator(".slot[data-stands=last]").first).to_have_attribute(
        "href", f"/lakes/lake-orrinbeck/vials/find/?number={number(COUNT)}"
    )
    assert ArchiveBox.objects.get().vials.count() == COUNT

    page.get_by_role("searchbox").fill("0003")
    page.keyboard.press("Enter")
    sees(page, "box 26-04, slot A3")
