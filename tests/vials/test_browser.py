"""Pages of labels and vials in a real browser."""

import re

import pypdfium2
import pytest
from playwright.sync_api import expect

from samples.models import LakeStock, PartSheet, Vial
from samples.rules.vial_number import grouped
from samples.vials import services
from tests import chromium
from tests.people import NOW
from tests.vials.numbers import SHEET, number
from tests.vials.pages import url


def saved_numbers(page):
    """Save the PDF that a page offers, and return the places in the year on its labels."""
    with page.expect_download() as saved:
        page.get_by_role("link", name="Download PDF").click()
    document = pypdfium2.PdfDocument(saved.value.path().read_bytes())
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    return [int(place) for place in re.findall(r"26 (\d{4}) \d", text)]


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
class TestInABrowser:
    def test_a_stock_is_measured_printed_on_and_reprinted(
        self, open_page, lake, season, office, settings
    ):
        settings.PUBLIC_ADDRESS = "https://fish.example"
        page = open_page(chromium.DESK, user=office)
        page.goto(url("add_stock", lake))
        # What is impossible is marked where it is typed, before anything is saved.
        page.fill("#id_pitch_across", "34")
        page.locator("#id_columns").focus()
        expect(page.locator("#id_pitch_across_error")).to_be_visible()
        expect(page.locator("#id_pitch_across")).to_have_attribute("aria-invalid", "true")
        page.fill("#id_pitch_across", "1 1/2 in")
        page.locator("#id_columns").focus()
        expect(page.locator("#id_pitch_across_error")).to_have_count(0)
        page.get_by_role("button", name="Save label stock").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Printer offset")

        own = LakeStock.objects.get().code
        page.goto(url("labels", lake))
        page.select_option("#id_stock", own)
        page.fill("#id_count", "7")
        page.locator("[data-first-sheet] [data-position='12']").click()
        expect(page.locator("#id_first_position")).to_have_value("12")
        drawn = page.locator("[data-first-sheet] image")
        expect(drawn).to_have_attribute("href", re.compile("first_position=12"))
        page.get_by_role("button", name="Make 7 labels").click()
        assert saved_numbers(page) == list(range(1, 8))

        # The sheet that was begun is offered for the labels that were spoiled.
        page.goto(f"{url('reprint', lake)}?numbers=2-3")
        expect(page.locator("#id_first_position")).to_have_value("19")
        page.fill("#id_numbers", "2-3, 5")
        page.locator("#id_stock").focus()
        page.get_by_role("button", name="Reprint 3 labels").click()
        assert saved_numbers(page) == [2, 3, 5]
        assert PartSheet.objects.get(stock=own).used == list(range(1, 22))

    def test_scan_after_scan_needs_no_hand(self, open_page, lake, office, vials, settings):
        settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "fish.example"]
        page = open_page(chromium.DESK, user=office)
        page.goto(url("receive", lake))
        page.locator("[data-scan][data-ready]").wait_for()
        page.get_by_role("radio", name="Broken").check()
        page.locator("input[name=number]").focus()
        # A scanner is a keyboard: the link, then Enter. The second label is not one of ours.
        for scanned in (number(1), number(900), number(2)):
            page.keyboard.type(f"HTTPS://FISH.EXAMPLE/V/{scanned}")
            page.keyboard.press("Enter")
        expect(page.locator("[data-answer=success] .number-large")).to_have_text(grouped(number(2)))
        expect(page.locator("[data-fixes] li")).to_have_count(1)

        states = Vial.objects.filter(pk__in=[vials[0].pk, vials[1].pk])
        assert list(states.order_by("pk").values_list("state", "content")) == [
            ("received", "broken"),
            ("received", ""),
        ]

    @pytest.mark.parametrize("kind", [chromium.PHONE, chromium.DESK], ids=["phone", "desk"])
    def test_no_page_has_a_barrier_or_scrolls_sideways(
        self, open_page, axe, lake, office, vials, make_run, kind
    ):
        run = make_run()
        services.receive(lake=lake, number=number(1), actor=office, now=NOW)
        page = open_page(kind, user=office)
        addresses = [
            url("labels", lake),
            url("run", lake, run.pk),
            url("printer", lake, SHEET),
            url("issue", lake),
            url("receive", lake),
            f"{url('find', lake)}?number={number(1)}",
        ]
        for address in addresses:
            page.goto(address)
            assert axe(page) == [], address
            assert page.evaluate(
                "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
            ), address
            assert page.locator(".button-next").count() <= 1
