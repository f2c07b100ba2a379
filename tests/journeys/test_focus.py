"""Where the keyboard is after an action, and what is heard there."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from samples.models import Vial
from tests.chromium import DESK

pytestmark = pytest.mark.browser

# What a screen reader reads of the focus besides its name.
RULE_IN_THE_DARK = """() => {
  const look = getComputedStyle(document.documentElement);
  return ['--rule', '--edge', '--ink-soft', '--ink'].map(name => look.getPropertyValue(name));
}"""


def test_focus_comes_back_after_each_action(open_page, lake, brindle, vials, biologist):
    page = open_page(DESK, user=biologist)
    page.goto(reverse("waters:arms", args=[lake.slug]))
    page.locator(f"#down-{brindle.pk}").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator(f"#down-{brindle.pk}")).to_be_focused()

    Vial.objects.update(state=Vial.State.ISSUED)
    page.goto(reverse("vials:receive", args=[lake.slug]))
    number = page.locator("input[name=number]")
    number.fill(vials[0].number)
    page.keyboard.press("Enter")
    expect(page.locator("[role=status] [data-answer=success]")).to_be_visible()
    expect(number).to_be_focused()

    page.goto(reverse("waters:edit_lake", args=[lake.slug]))
    with page.expect_navigation():
        page.locator("main form").get_by_role("button", name="Save").click()
    expect(page.locator("#messages")).to_be_focused()

    # The slash key, on and off.
    page.keyboard.press("/")
    expect(page.locator("#search")).to_be_focused()
    page.goto(reverse("accounts:account"))
    page.locator("[data-single-keys]").uncheck()
    page.goto(reverse("waters:arms", args=[lake.slug]))
    page.locator(f"#down-{brindle.pk}").focus()
    page.keyboard.press("/")
    expect(page.locator(f"#down-{brindle.pk}")).to_be_focused()

    page.emulate_media(color_scheme="dark", contrast="more")
    rule, edge, soft, ink = page.evaluate(RULE_IN_THE_DARK)
    assert rule == edge == soft == ink
