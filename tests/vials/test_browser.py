"""Pages of labels and vials in a real browser."""

import pytest

from samples.models import Vial
from samples.vials import services
from tests import chromium
from tests.people import NOW
from tests.vials.numbers import SHEET, number
from tests.vials.pages import url


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
class TestInABrowser:
    def test_the_sheets_follow_the_form(self, open_page, lake, season, office):
        page = open_page(chromium.DESK, user=office)
        page.goto(url("labels", lake))

        page.fill("#id_count", "7")
        page.locator("[data-first-sheet] [data-position='12']").click()

        page.get_by_role("button", name="Make 7 labels").wait_for()
        assert page.input_value("#id_first_position") == "12"
        assert "from position 12;" in page.locator("#sheets").inner_text()

    def test_scan_after_scan_needs_no_hand(self, open_page, lake, office, vials, settings):
        settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "fish.example"]
        page = open_page(chromium.DESK, user=office)
        page.goto(url("receive", lake))
        # A scanner is a keyboard: the link, then Enter. The second label is not one of ours.
        for scanned in (number(1), number(900), number(2)):
            with page.expect_navigation():
                page.keyboard.type(f"HTTPS://FISH.EXAMPLE/V/{scanned}")
                page.keyboard.press("Enter")

        states = Vial.objects.filter(pk__in=[vials[0].pk, vials[1].pk])
        assert set(states.values_list("state", flat=True)) == {"received"}

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
