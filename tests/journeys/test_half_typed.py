"""A fish that is half typed, and one that is corrected: neither is written over the other."""

import pytest
from playwright.sync_api import expect

from samples.models import Fish, Photo
from samples.rules.vial_number import grouped
from tests.journeys.hands import choose, press
from tests.journeys.pocket import (
    SHELL,
    act,
    all_sent,
    deliberately,
    heading,
    later,
    log,
    log_all,
    open_party,
    row,
    rows,
    type_length,
    wake,
)
from tests.ramp.test_photos import picture

pytestmark = pytest.mark.browser


def is_empty_for(page, vial):
    """Wait for the form of the next fish, with nothing of another one in it."""
    expect(page.locator("#fish-save")).to_have_text("Save fish")
    expect(page.locator("#correcting")).to_be_hidden()
    expect(page.locator("#fish-vial")).to_have_value(grouped(vial.number))
    expect(page.locator("#fish-length")).to_have_value("")


def photo_in_draft(page):
    """Wait until the draft of the next fish names its photo on the phone."""
    # Asked again by the page itself: waiting for a function takes its promise for an answer.
    page.evaluate(
        """() => new Promise((resolve) => {
          const look = () => {
            indexedDB.open("earstone").onsuccess = ({ target }) => {
              const kept = target.result.transaction("kept").objectStore("kept").get("draft");
              kept.onsuccess = () => {
                target.result.close();
                if (kept.result?.photo) resolve();
                else setTimeout(look, 20);
              };
            };
          };
          look();
        })"""
    )


def test_a_correction_in_the_list_is_over_before_the_next_fish(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    log_all(page, ["9.1", "9.2"])
    first = grouped(thirty[0].number)
    page.locator("#party-bar").tap()
    act(page, first, "Correct")
    type_length(page, "9.9")
    press(page, "Save correction")
    expect(row(page, first)).to_contain_text("9.9 in")
    deliberately(page)
    press(page, "Log next fish", role="link")
    is_empty_for(page, thirty[2])
    log(page, "9.3")

    # Left by the phone's own Back, with something typed, it is not what comes next either.
    page.locator("#party-bar").tap()
    act(page, first, "Correct")
    type_length(page, "8.8")
    page.go_back()
    expect(row(page, first)).to_contain_text("9.9 in")
    press(page, "Log next fish", role="link")
    is_empty_for(page, thirty[3])

    # Cut off on one day, it is gone on the next; on the same day it stands there again.
    press(page, f"Correct {grouped(thirty[2].number)}")
    type_length(page, "8.8")
    at_ramp.offline(False)
    wake(page)
    all_sent(page)
    page.goto(SHELL)
    expect(page.locator("#fish-save")).to_have_text("Save correction")
    expect(page.locator("#fish-length")).to_have_value("8.8")
    later(at_ramp, 24)
    page.goto(SHELL)
    press(page, "Carry on with May 6")
    is_empty_for(page, thirty[3])
    log(page, "9.4")
    all_sent(page)
    assert [length for _, length, _ in rows()] == ["9.9", "9.2", "9.3", "9.4"]


def test_a_half_typed_fish_outlives_a_correction_and_the_start_of_a_trip(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    log(page, "9.1", species="White crappie")
    number = grouped(thirty[0].number)

    def half_typed():
        expect(page.locator("#fish-save")).to_have_text("Save fish")
        expect(page.locator("#fish-length")).to_have_value("9.4")
        expect(page.get_by_role("radio", name="Male", exact=True)).to_be_checked()
        expect(page.locator("#fish-vial")).to_have_value(grouped(thirty[1].number))
        expect(page.locator("#photo-state")).to_contain_text("Photo added")

    type_length(page, "94")
    choose(page, "Sex", "Male")
    page.locator("#fish-photo").set_input_files(
        {"name": "fish.jpg", "mimeType": "image/jpeg", "buffer": picture()}
    )
    # Put away by the phone, it comes back with its photo.
    photo_in_draft(page)
    page.goto(SHELL)
    half_typed()
    press(page, f"Correct {number}")
    expect(page.locator("#fish-length")).to_have_value("9.1")
    expect(page.locator("#photo-state")).to_be_empty()
    press(page, "Cancel")
    half_typed()
    press(page, f"Correct {number}")
    type_length(page, "92")
    press(page, "Save correction")
    expect(page.locator("#saved")).to_contain_text(f"Corrected {number} 9.2 in")
    half_typed()
    page.get_by_role("link", name="All fish", exact=True).tap()
    act(page, number, "Correct")
    press(page, "Cancel")
    press(page, "Log next fish", role="link")
    half_typed()

    later(at_ramp, 24)
    wake(page)
    heading(page, "The trip of May 6, 2026 is still open")
    press(page, "Start today's trip", role="link")
    open_party(page, "Hobbin")
    half_typed()
    deliberately(page)
    press(page, "Save fish")
    expect(page.locator("#saved")).to_contain_text("9.4 in")
    with page.expect_response("**/photo/**"):
        at_ramp.offline(False)
        wake(page)
    all_sent(page)
    told = Fish.objects.order_by("pk").values_list("arm__name", "length_as_measured")
    assert list(told) == [("Brindle", "9.2"), ("Hobbin", "9.4")]
    assert Photo.objects.get().fish.length_as_measured == "9.4"
