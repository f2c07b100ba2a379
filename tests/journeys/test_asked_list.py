"""The biologist's list on a guide's phone: opened with signal, it is read without."""

import pytest
from playwright.sync_api import expect

from tests.asks.test_asks import send
from tests.journeys.hands import press
from tests.journeys.pocket import kept, link_of, sign_in_by_link
from tests.people import INCH, NOW

pytestmark = pytest.mark.browser
WORDS = "Crappie under 8 in, please"


def test_the_list_is_read_with_its_date_without_signal(pocket, season, guide, biologist, brindle):
    send(season, biologist, brindle, words=WORDS, below=8 * INCH, now=NOW)
    page = pocket.start()
    sign_in_by_link(pocket, link_of(guide, biologist).token)
    kept(page)
    press(page, "Still needed", role="link")
    asked = page.locator("#needed-arms")
    expect(asked).to_contain_text(WORDS)

    pocket.offline()
    page.reload()
    press(page, "Still needed", role="link")

    expect(asked).to_contain_text(WORDS)
    expect(asked).to_contain_text("May 6, 2026")
    expect(page.locator("#signal")).to_have_text("Offline.")
