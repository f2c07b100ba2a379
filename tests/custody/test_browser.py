"""Clear, archive, find; a kit and its card: in a real browser, by a scanner that types."""

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import expect

from samples.models import ArchiveBox, ClearingTray, Vial
from samples.rules.vial_number import grouped
from tests.chromium import DESK, PHONE_WITHOUT_APP
from tests.custody.rows import read, receive
from tests.journeys.hands import headed, press, sees
from tests.vials.numbers import number

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

COUNT = 4


def scan(page, typed):
    """Type key by key and end with Enter, as a scanner does, whatever the page is about."""
    page.keyboard.type(typed)
    page.keyboard.press("Enter")


def ready(page):
    """Wait until the script has taken over: a scan before that is sent as a form, page by page."""
    page.locator("[data-scan][data-ready]").wait_for()


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

    ready(page)
    # No hand leaves the scanner: nothing is waited for between one scan and the next.
    for place in (1, 2, 2, 3, 900, 4):
        scan(page, number(place))
    answered(page)
    tally = page.locator(".scan-tally")
    expect(tally).to_have_text(f"{COUNT} of R. Ostrow's {COUNT}")
    # What was refused on the way is still in sight.
    expect(page.locator("[data-fixes] li")).to_have_count(1)
    # With Caps Lock on the key is a capital.
    page.keyboard.press("Control+Z")
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
    ready(page)
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


def test_a_kit_goes_out_with_its_card_and_is_passed_on(
    open_page, lake, vials, office, guide, second_guide
):
    page = open_page(DESK, user=office)
    page.goto("/lakes/lake-orrinbeck/vials/issue/")
    page.get_by_label("To", exact=True).select_option(label="R. Ostrow")
    page.get_by_label("How many").fill("4")
    press(page, "Issue vials")
    press(page, "Kits", role="link")
    press(page, "R. Ostrow", role="link")
    headed(page, "R. Ostrow: 4 unused vials of 2026")

    with page.expect_download() as saved:
        press(page, "Download kit card")
    [picture, *_] = pypdfium2.PdfDocument(saved.value.path())
    [symbol] = zxingcpp.read_barcodes(picture.render(scale=300 / 72).to_pil().convert("L"))
    phone = open_page(PHONE_WITHOUT_APP)
    phone.goto(symbol.text)
    sees(phone, "R. Ostrow")

    press(page, f"Change {grouped(number(1))} to {grouped(number(4))}", role="link")
    page.get_by_label("From number").fill(number(3))
    page.get_by_label("What happened").select_option(label="Passed on to another person")
    page.get_by_label("Passed on to").select_option(label="I. Talvik")
    press(page, "Record change")
    press(page, "Pass on")
    headed(page, "R. Ostrow: 2 unused vials of 2026")
    assert Vial.objects.filter(issued_to=second_guide, state="issued").count() == 2
