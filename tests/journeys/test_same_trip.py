"""The app and the pages that need signal: one trip on both, and the app where there is none."""

from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from samples.models import Fish
from samples.rules.vial_number import grouped
from tests.chromium import DESK
from tests.journeys.hands import press, sees
from tests.journeys.pocket import (
    SHELL,
    act,
    all_sent,
    heading,
    kept,
    later,
    link_of,
    log,
    open_party,
    row,
    rows,
    sent,
    sign_in_by_session,
    wake,
)
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import take

pytestmark = pytest.mark.browser


def test_the_app_and_the_form_see_the_same_open_trip(pocket, guide, biologist, party, thirty):
    logged = entries.fish(party.party_id, thirty[0].number, length="8.8")
    take(guide, logged)
    page = pocket.start()
    page.goto(reverse("accounts:this_is_me", args=[link_of(guide, biologist).token]))
    press(page, "This is me")
    expect(page.locator("#party-arm")).to_have_text("Brindle")
    kept(page)
    # The number follows the fish that was logged at the form.
    expect(page.locator("#fish-vial")).to_have_value(grouped(thirty[1].number))
    log(page, "9.1", species="White crappie")
    sent(page, 2)
    assert set(Fish.objects.values_list("party", flat=True)) == {party.pk}
    page.locator("#party-bar").tap()
    expect(page.locator("#trip-fish > li")).to_have_count(2)
    act(page, grouped(thirty[0].number), "Correct")
    page.locator("#fish-length").fill("8.9")
    page.locator("#fish-save").tap()
    expect(row(page, grouped(thirty[0].number))).to_contain_text("8.9 in")
    all_sent(page)
    assert rows()[0][1] == "8.9"

    # Ended at the form, it is ended here; and the other way round.
    later(pocket, 1)
    closing = entries.common("party_closed", party.party_id)
    take(guide, closing | {"written_at": (NOW + timedelta(hours=1)).isoformat()})
    wake(page)
    page.reload()
    heading(page, "Start a trip")
    page.get_by_role("button", name="Brindle, May 6, 2026").tap()
    sees(page, "Ended today,")
    press(page, "Reopen trip")
    expect(page.locator("#saved")).to_have_text("Brindle: the trip is open again.")
    all_sent(page)
    party.refresh_from_db()
    assert party.closed_at is None


def test_log_a_fish_leads_a_desk_to_the_form(open_page, guide, party, thirty):
    desk = open_page(DESK, user=guide)
    desk.goto("/ramp/mine/")
    desk.get_by_role("link", name="Log a fish").click()
    expect(desk.get_by_role("button", name="Save fish")).to_be_visible()
    assert desk.url.endswith("/ramp/")


def test_log_a_fish_leads_a_phone_to_the_app_with_the_vial_that_was_read(pocket, clerk, thirty):
    page = pocket.start()
    sign_in_by_session(pocket, clerk)
    open_party(page)
    page.goto("/ramp/mine/")
    press(page, "Log a fish", role="link")
    page.wait_for_url(f"**{SHELL}*")
    expect(page.locator("#fish-save")).to_be_visible()
    page.goto(f"/ramp/?vial={thirty[4].number}")
    expect(page.locator("#fish-vial")).to_have_value(grouped(thirty[4].number))


def test_links_and_pages_without_signal_are_answered_by_the_app(at_ramp):
    page, link = at_ramp.page, reverse("accounts:this_is_me", args=[at_ramp.link.token])
    at_ramp.offline()
    page.goto(link)
    heading(page, "Your personal link needs signal")
    sees(page, "This phone is set up for R. Ostrow.")
    press(page, "Log fish", role="link")
    log(page, "9.1", species="White crappie")
    page.goto("/ramp/mine/")
    heading(page, "My fish and their ages")
    expect(page.locator("#mine-as-of")).to_contain_text("As of today")
    for address in ("/", "/ramp/", "/ramp/party/close/", "/ramp/count/x/undo/"):
        page.goto(address)
        expect(page.locator("#fish-save")).to_be_visible()
    page.goto(link)
    at_ramp.offline(False)
    press(page, "Try again")
    heading(page, "R. Ostrow, is this you?")


def test_a_link_without_signal_on_a_phone_of_nobody(pocket, guide, biologist):
    page = pocket.start()
    page.goto(SHELL)
    kept(page)
    link = reverse("accounts:this_is_me", args=[link_of(guide, biologist).token])
    pocket.offline()
    page.goto(link)
    heading(page, "Your personal link needs signal")
    sees(page, "This phone is not set up yet.")
    expect(page.get_by_role("link", name="Log fish")).to_be_hidden()
    pocket.offline(False)
    page.goto(link)
    pocket.offline()
    # No answer is said in words, and the button is there for another try.
    press(page, "This is me")
    sees(page, "No answer. Tap again where there is signal.")
    pocket.offline(False)
    press(page, "This is me")
    heading(page, "Start a trip")
