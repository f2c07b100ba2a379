"""A reading session of ten otoliths by the keyboard alone."""

import time

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from samples.models import Reading, ReadingSession, SessionOtolith
from tests.lab.making import make_session, put_in_lab

pytestmark = pytest.mark.browser

OTOLITHS = 10
# Six are counted with a margin and how readable they are; what the others are typed as stands here.
TYPED = {3: ["s", "Enter"], 5: ["x", "n", "Enter"], 7: ["4", "0", " ", "1", "Enter"]}


def test_ten_otoliths_by_keyboard_alone(
    live_server, vials, party, white, lake, reader, record_property, open_page
):
    for vial in vials[:OTOLITHS]:
        put_in_lab(vial, party, white)
    session = make_session(lake, reader, *vials[:OTOLITHS])
    page = open_page({"viewport": {"width": 1280, "height": 800}}, user=reader)
    page.goto(reverse("lab:session", args=[lake.slug, session.pk]))
    began = time.monotonic()
    for place in range(1, OTOLITHS + 1):
        expect(page.locator("[name=place]")).to_have_value(str(place))
        expect(page.locator("#id_annuli")).to_be_focused()
        for key in TYPED.get(place, ["4", " ", "1", "c", "Enter"]):
            page.keyboard.press("Space" if key == " " else key)
        if place == 1:
            # Pressed once more before the next page is there.
            page.keyboard.press("Enter")
        if place == 7:
            expect(page.locator("#questions")).to_be_visible()
            # A person reads the question; by then its key is heard.
            page.wait_for_load_state("load")
            page.keyboard.press("y")
    expect(page.get_by_role("button", name="End session")).to_be_visible()
    record_property("seconds an otolith", round((time.monotonic() - began) / OTOLITHS, 2))
    page.get_by_role("button", name="End session").press("Enter")
    expect(page.get_by_role("heading", level=1)).to_be_visible()

    outcomes = dict(SessionOtolith.objects.values_list("place", "outcome"))
    assert [outcomes[place] for place in (3, 5, 7)] == ["section", "unreadable", "read"]
    readings = Reading.objects.values_list("annuli", "margin", "readability")
    assert sorted(readings)[0] == (4, 1, 1)
    assert len(readings) == OTOLITHS - 2
    assert ReadingSession.objects.get().closed_at is not None
