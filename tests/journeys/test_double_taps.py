"""A thumb that taps twice: the second tap does nothing to what has come under it."""

import pytest
from playwright.sync_api import expect

from samples.models import Fish, Party, UnmeasuredCount, Vial
from samples.rules.vial_number import grouped
from tests.journeys.hands import choose, look_first, press, sees
from tests.journeys.pocket import (
    act,
    all_sent,
    deliberately,
    heading,
    here,
    link_of,
    log_all,
    open_party,
    row,
    sign_in_by_link,
    sign_in_by_session,
    tap_twice,
    wake,
)

pytestmark = pytest.mark.browser


def no_errors(page):
    expect(page.locator(".field-error")).to_have_count(0)


def test_start_shift_and_end_answer_once(pocket, guide, biologist, thirty):
    page = pocket.start()
    sign_in_by_link(pocket, link_of(guide, biologist).token)
    pocket.offline()
    page.get_by_label("Arm").select_option("Brindle")
    tap_twice(page, page.locator("#party-save"))
    expect(page.locator("#saved")).to_contain_text("Brindle: the trip is open.")
    no_errors(page)
    log_all(page, ["9.1", "9.2", "9.3"])

    press(page, "Vials are off by one", role="link")
    page.locator("#shift-from").select_option(thirty[2].number)
    choose(page, "Move each fish to", "The next vial")
    tap_twice(page, page.get_by_role("button", name="Move them"))
    expect(page.locator("#saved")).to_contain_text("Vials moved by one.")
    expect(page.locator("#fish-vial")).to_have_value(grouped(thirty[4].number))
    no_errors(page)

    # The second tap of a correction does not go on to the next fish.
    page.locator("#party-bar").or_(page.get_by_role("link", name="All fish")).first.tap()
    number = grouped(thirty[1].number)
    act(page, number, "Correct")
    page.locator("#fish-length").fill("9.8")
    tap_twice(page, page.locator("#fish-save"))
    expect(row(page, number)).to_contain_text("9.8 in")

    deliberately(page)
    page.get_by_role("link", name="End trip").locator("visible=true").tap()
    page.get_by_label("Filled vials").fill("3")
    page.locator("#close-save").tap()
    tap_twice(page, page.get_by_role("button", name="Yes, empty"))
    sees(page, "Trip ended with 3 fish.")
    heading(page, "Start a trip")
    no_errors(page)
    pocket.offline(False)
    wake(page)
    all_sent(page)
    assert Party.objects.count() == 1
    assert Fish.objects.filter(withdrawn=False).count() == 3


def test_delete_and_put_back_in_the_list_leave_every_row_in_its_place(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    log_all(page, ["9.1", "9.2", "9.3", "9.4"])
    numbers = [grouped(vial.number) for vial in thirty[:4]]
    page.locator("#party-bar").tap()
    fish = page.locator("#trip-fish > li")
    for number in numbers[1:3]:
        look_first(page)
        row(page, number).locator("summary").tap()
    delete = row(page, numbers[2]).get_by_role("button", name=f"Delete {numbers[2]}")
    tap_twice(page, delete)
    expect(page.locator("#trip-count")).to_have_text("3")
    for place, number in enumerate(reversed(numbers)):
        expect(fish.nth(place)).to_contain_text(number)
    expect(fish.nth(1)).to_contain_text("deleted")

    deliberately(page)
    tap_twice(page, fish.nth(1).get_by_role("button", name="Put back"))
    expect(page.locator("#trip-count")).to_have_text("4")
    for place, number in enumerate(reversed(numbers)):
        expect(fish.nth(place)).to_contain_text(number)

    # The message of a deletion has its own way back, which is a trip's own.
    deliberately(page)
    press(page, f"Delete {numbers[1]}", within=row(page, numbers[1]))
    expect(page.locator("#saved strong")).to_have_text(f"Deleted {numbers[1]}")
    deliberately(page)
    press(page, f"Put back {numbers[1]}", within=page.locator("#saved"))
    expect(page.locator("#saved strong")).to_have_text(f"Put back {numbers[1]}")
    expect(page.locator("#trip-count")).to_have_text("4")
    at_ramp.offline(False)
    wake(page)
    here(page, 0)
    all_sent(page)
    logged = Fish.objects.filter(withdrawn=False).order_by("vial__number")
    assert [one.vial for one in logged] == thirty[:4]


def test_counts_are_saved_and_undone_once_each(pocket, clerk, vials):
    Vial.objects.update(state=Vial.State.ISSUED, issued_to=clerk)
    page = pocket.start()
    sign_in_by_session(pocket, clerk)
    open_party(page)
    press(page, "Count unmeasured", role="link")
    counted = page.locator("#counted li")
    for place, count in enumerate(("4", "7", "2")):
        page.locator("#count-species").get_by_role("radio", name="White crappie").tap()
        page.get_by_role("textbox", name="How many").fill(count)
        tap_twice(page, page.get_by_role("button", name="Save the count"))
        sees(page, f"{count} White crappie counted")
        expect(counted).to_have_count(place + 1)
        no_errors(page)
    deliberately(page)
    tap_twice(page, counted.nth(0).get_by_role("button", name="Undo"))
    expect(counted).to_have_count(2)
    all_sent(page)
    told = UnmeasuredCount.objects.order_by("pk").values_list("count", "withdrawn")
    assert list(told) == [(4, True), (7, False), (2, False)]
