"""A trip on the phone: its days, its list and its end."""

from datetime import date

import pytest
from playwright.sync_api import expect

from samples.models import Arm, Fish, HeldEntry, Party, UnmeasuredCount, Vial
from samples.rules import vial_number
from samples.rules.vial_number import grouped
from tests.journeys.hands import look_first, press, sees
from tests.journeys.pocket import (
    act,
    all_sent,
    heading,
    later,
    link_of,
    log,
    log_all,
    need_look,
    open_party,
    row,
    rows,
    sent,
    sign_in_by_link,
    sign_in_by_session,
    signal_says,
    wake,
)
from tests.people import INCH, NOW

pytestmark = pytest.mark.browser

# ---------- Days ----------


def test_a_new_day_asks_which_trip_before_the_first_fish(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    log_all(page, ["9.1"])
    # Noon to 23:15 of the same day, then past midnight at the lake.
    later(at_ramp, 11)
    wake(page)
    page.locator("#fish-length").press_sequentially("9")
    expect(page.locator("#fish-save")).to_be_visible()
    later(at_ramp, 8)
    # Taken out of the pocket in the morning, with half a fish on the page, which is not lost.
    wake(page)
    heading(page, "The trip of May 6, 2026 is still open")
    sees(page, "Today is May 7, 2026.")
    press(page, "Carry on with May 6")
    expect(page.locator("#fish-length")).to_have_value("9")
    log(page, "9.2")
    log(page, "9.3")

    later(at_ramp, 24)
    wake(page)
    heading(page, "The trip of May 6, 2026 is still open")
    expect(page.locator(".button-next:visible")).to_have_text("Start today's trip")
    page.reload()
    heading(page, "The trip of May 6, 2026 is still open")
    press(page, "Start today's trip", role="link")
    expect(page.get_by_label("Date caught")).to_have_value("2026-05-08")
    sees(page, "The trip Brindle, May 6, 2026 (3 fish) ends when you start.")
    open_party(page, "Hobbin")
    expect(page.locator("#saved")).to_contain_text(
        "The trip Brindle, May 6, 2026 ended with 3 fish"
    )
    log(page, "9.4", species="White crappie")

    at_ramp.offline(False)
    wake(page)
    all_sent(page)
    first, second = Party.objects.order_by("pk")
    assert (first.caught_on, second.caught_on) == (date(2026, 5, 6), date(2026, 5, 8))
    assert first.closed_at is not None
    assert [one.party for one in Fish.objects.order_by("pk")] == [first] * 3 + [second]


def test_a_page_that_was_never_left_asks_at_the_first_key(at_ramp):
    page = at_ramp.page
    all_sent(page)
    later(at_ramp, 19)
    # By itself, without the network or the phone's waking telling it that a day has begun.
    page.evaluate(
        """() => {
          const length = document.getElementById("fish-length");
          length.value = "9";
          length.dispatchEvent(new InputEvent("input", { bubbles: true, data: "9" }));
        }"""
    )
    heading(page, "The trip of May 6, 2026 is still open")


def test_a_year_slip_is_asked_about(pocket, guide, biologist, thirty):
    page = pocket.start()
    sign_in_by_link(pocket, link_of(guide, biologist).token)
    page.get_by_label("Arm").select_option("Brindle")
    page.get_by_label("Date caught").fill("2025-05-06")
    page.locator("#party-save").tap()
    asked = page.locator("#ask-date_last_year")
    expect(asked).to_contain_text("May 6, 2025 is last year. When was the fish caught?")
    press(page, "May 6, 2026", within=asked)
    expect(page.locator("#saved")).to_contain_text("Brindle: the trip is open.")
    expect(page.locator("#party-day")).to_contain_text("May 6")


def test_a_vial_of_another_year_is_asked_about_once_a_trip(at_ramp, guide, season):
    page = at_ramp.page
    old = [vial_number.make(2025, sequence, 4) for sequence in (1, 2)]
    for place, number in enumerate(old):
        Vial.objects.filter(sequence=10 + place).update(number=number)
    Vial.objects.exclude(number__in=old).update(state="void", issued_to=None)
    page.reload()
    signal_says(page, "Online.")
    page.reload()
    # Vials of another year alone are left: none is offered in silence.
    expect(page.locator("#fish-vial")).to_have_value("")
    log(page, "9.1", species="White crappie", vial=old[0], said="")
    asked = page.locator("#ask-vial_other_year")
    expect(asked).to_contain_text("is a vial of 2025. Vials of this trip start with 26.")
    expect(page.locator("#fish-save")).to_have_text(f"Check {vial_number.grouped(old[0])} first")
    press(page, "Yes, as on the label", within=asked)
    expect(page.locator("#saved")).to_contain_text("9.1 in")
    log(page, "9.2", vial=old[1])
    # What was saved before is not said of the fish that is refused.
    page.locator("#fish-sex").get_by_role("radio", name="Male", exact=True).tap()
    press(page, "Save fish")
    expect(page.locator("#saved")).not_to_contain_text("Saved")
    expect(page.locator("#saved").get_by_role("button")).to_have_count(0)
    sent(page, 2)


# ---------- The list ----------


def test_every_fish_of_the_trip_is_corrected_and_deleted_offline(at_ramp, thirty, office):
    page = at_ramp.page
    at_ramp.offline()
    log_all(page, ["9.1", "9.2", "9.3", "9.4", "9.5"])
    numbers = [grouped(vial.number) for vial in thirty[:5]]
    page.locator("#party-bar").tap()
    expect(page.locator("#trip-fish > li")).to_have_count(5)
    expect(row(page, numbers[0])).to_contain_text("On phone")
    expect(row(page, numbers[0])).to_contain_text("White crappie, 9.1 in, female")

    act(page, numbers[0], "Correct")
    page.locator("#fish-length").fill("9.9")
    page.locator("#fish-save").tap()
    expect(row(page, numbers[0])).to_contain_text("9.9 in")
    act(page, numbers[1], "Delete")
    expect(page.locator("#saved")).to_contain_text(f"Deleted {numbers[1]} Vial can be reused")
    act(page, numbers[2], "Delete")
    press(page, f"Put back {numbers[2]}", within=page.locator("#trip-fish"))
    expect(page.locator("#trip-count")).to_have_text("4")
    press(page, "Log next fish", role="link")
    at_ramp.offline(False)
    wake(page)
    all_sent(page)
    sent(page, 4)
    assert [row[:2] for row in rows()] == [
        (thirty[0].number, "9.9"),
        (thirty[2].number, "9.3"),
        (thirty[3].number, "9.4"),
        (thirty[4].number, "9.5"),
    ]

    # Ended and sent, it is still corrected, but for what the office has received.
    press(page, "End trip", role="link")
    page.get_by_label("Filled vials").fill("4")
    page.locator("#close-save").tap()
    press(page, "Yes, empty")
    heading(page, "Start a trip")
    all_sent(page)
    Vial.objects.filter(pk=thirty[0].pk).update(
        state="received", received_at=NOW, received_by=office
    )
    later(at_ramp, 1)
    wake(page)
    page.get_by_role("button", name="Brindle, May 6, 2026").tap()
    expect(page.locator("#saved")).to_have_text("Tap a fish to correct or delete it.")
    expect(row(page, numbers[0])).to_contain_text("With office")
    look_first(page)
    row(page, numbers[0]).locator("summary").tap()
    expect(row(page, numbers[0])).to_contain_text("The office has this vial.")
    expect(row(page, numbers[0]).get_by_role("button")).to_have_count(0)
    act(page, numbers[3], "Correct")
    page.locator("#fish-length").fill("10.4")
    page.locator("#fish-save").tap()
    expect(row(page, numbers[3])).to_contain_text("10.4 in")
    all_sent(page)
    assert rows()[2][1] == "10.4"
    assert HeldEntry.objects.count() == 0

    # The same day it goes on, and on the next it is over.
    later(at_ramp, 24)
    page.reload()
    expect(page.locator("#trip-reopen")).to_be_hidden()


def test_a_fish_that_was_not_accepted_stands_out(at_ramp, white):
    page = at_ramp.page
    at_ramp.offline()
    log_all(page, ["9.1", "14.2"])
    white.plausible_max_hundredths_mm = 13 * INCH
    white.save()
    at_ramp.offline(False)
    wake(page)
    need_look(page, 1)
    said = page.locator("#saved")
    expect(said).to_contain_text("Not accepted. Tap To fix. 26 0002 6, White crappie 14.2 in, male")
    page.locator("#party-bar").tap()
    expect(row(page, "26 0002 6")).to_contain_text("To fix")
    expect(row(page, "26 0002 6")).to_contain_text("White crappie here run from 2 to 13 inches.")
    press(page, "Fix 26 0002 6")
    page.locator("#fish-length").fill("12.4")
    page.locator("#fish-save").tap()
    need_look(page, 0)
    sent(page, 2)


# ---------- The end ----------


def test_the_end_asks_one_thing_at_a_time_with_one_clear_answer(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    log(page, "9.1", species="White crappie")
    log(page, "9.2", vial=thirty[3].number)
    press(page, "End trip", role="link")
    page.get_by_label("Filled vials").fill("2")
    page.get_by_label("Last vial").fill(thirty[3].number[-4:])
    save, main = page.locator("#close-save"), page.locator(".button-next:visible")
    save.tap()
    sees(page, f"{grouped(thirty[1].number)}, {grouped(thirty[2].number)} were skipped.")
    expect(main).to_have_text("Yes, empty")
    # The button under the thumb is quiet: a tap out of habit ends nothing.
    save.tap(force=True)
    expect(main).to_have_text("Yes, empty")
    page.get_by_label("Filled vials").fill("3")
    save.tap()
    press(page, "Yes, empty")
    sees(page, "3 in hand, but 2 logged with a vial.")
    expect(main).to_have_text("Show the fish")
    page.get_by_label("Filled vials").fill("2")
    page.get_by_label("Last vial").fill(thirty[2].number[2:6])
    save.tap()
    sees(page, "Are the vials off by one?")
    expect(main).to_have_text("Vials are off by one")
    main.tap()
    page.locator("#shift-from").select_option(thirty[3].number)
    page.get_by_role("radio", name="The vial before").tap()
    press(page, "Move them")
    expect(page.locator("#saved")).to_contain_text("Vials moved by one.")
    press(page, "End trip", role="link")
    page.get_by_label("Last vial").fill(thirty[2].number[2:6])
    page.get_by_label("Filled vials").fill("2")
    save.tap()
    press(page, "Yes, empty")
    sees(page, "Trip ended with 2 fish.")


def end_trip(page, filled=0):
    press(page, "End trip", role="link")
    page.get_by_label("Filled vials").fill(str(filled))
    page.locator("#close-save").tap()
    expect(page.locator("#saved")).to_contain_text("Trip ended")
    heading(page, "Start a trip")


def test_only_the_trip_started_last_is_reopened_and_the_next_fish_is_its_own(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    end_trip(page)
    open_party(page, "Hobbin")
    log(page, "9.0", species="White crappie")
    end_trip(page, filled=1)
    page.get_by_role("button", name="Brindle, May 6, 2026").tap()
    expect(page.locator("#trip-ended-words")).to_contain_text("Ended today, ")
    sees(page, "A later trip has fish, so this one can't be reopened.")
    expect(page.locator("#trip-reopen")).to_be_hidden()

    # The page that logs a fish is not shown for a trip that is only looked at.
    page.evaluate("location.hash = 'fish'")
    heading(page, "Start a trip")
    expect(page.locator("#panel-fish")).to_be_hidden()

    look_first(page)
    page.get_by_role("button", name="Hobbin, May 6, 2026").tap()
    press(page, "Reopen trip")
    expect(page.locator("#saved")).to_contain_text("Hobbin: the trip is open again.")
    log(page, "9.1", species="White crappie")
    at_ramp.offline(False)
    wake(page)
    all_sent(page)
    ended, again = Party.objects.order_by("pk")
    assert ended.closed_at is not None
    assert again.closed_at is None
    assert {fish.party for fish in Fish.objects.all()} == {again}


def test_a_trip_is_reopened_and_ends_the_empty_one_that_was_started_after_it(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    log(page, "9.1", species="White crappie")
    end_trip(page, filled=1)
    open_party(page, "Hobbin")
    page.locator("#party-bar").or_(page.get_by_role("link", name="All fish")).first.tap()
    page.evaluate("location.hash = 'next'")
    page.get_by_role("button", name="Brindle, May 6, 2026").tap()
    press(page, "Reopen trip")
    expect(page.locator("#saved")).to_contain_text("Brindle: the trip is open again.")
    log(page, "9.2")
    at_ramp.offline(False)
    wake(page)
    all_sent(page)
    again, ended = Party.objects.order_by("pk")
    assert (again.closed_at, ended.closed_at is None) == (None, False)
    assert {fish.party for fish in Fish.objects.all()} == {again}
    # What the office says of it agrees.
    page.reload()
    expect(page.locator("#now-more")).to_contain_text("Brindle")


def test_a_reopening_that_was_not_accepted_is_put_right_and_reopens(at_ramp, lake):
    page = at_ramp.page
    end_trip(page)
    all_sent(page)
    page.get_by_role("button", name="Brindle, May 6, 2026").tap()
    Arm.objects.filter(lake=lake, name="Brindle").update(name="Brindle Arm")
    press(page, "Reopen trip")
    need_look(page, 1)
    page.locator("#count-look a").tap()
    sees(page, "has no arm Brindle.")
    press(page, "Fix")
    page.get_by_label("Arm").select_option("Hobbin")
    page.locator("#party-save").tap()
    expect(page.locator("#saved")).to_contain_text("The trip is changed.")
    expect(page.locator("#party-arm")).to_have_text("Hobbin")
    need_look(page, 0)
    all_sent(page)
    assert Party.objects.get().closed_at is None


# ---------- The way to the office, and the clerk ----------


def test_the_head_says_how_it_stands(at_ramp):
    page, wire = at_ramp.page, at_ramp.wire
    more = page.locator("#signal-more")
    signal_says(page, "Online.")
    at_ramp.offline()
    signal_says(page, "Offline.")
    at_ramp.offline(False)
    wake(page)
    signal_says(page, "Online.")
    # A network, and nobody at its end.
    wire.cut()
    log(page, "9.1", species="White crappie")
    signal_says(page, "Online,")
    expect(more).to_have_text("can't reach the office.")
    wire.join()
    wake(page)
    expect(more).to_have_text("All sent.")
    sent(page, 1)


def test_a_clerks_tally_is_undone(pocket, clerk, vials):
    page = pocket.start()
    sign_in_by_session(pocket, clerk)
    open_party(page)
    press(page, "Count unmeasured", role="link")
    for count in ("4", "7"):
        page.locator("#count-species").get_by_role("radio", name="White crappie").tap()
        page.get_by_role("textbox", name="How many").fill(count)
        press(page, "Save the count")
        sees(page, f"{count} White crappie counted.")
    press(page, "Undo 7 White crappie")
    expect(page.locator("#counted li")).to_have_count(1)
    sees(page, "7 White crappie no longer counted.")
    all_sent(page)
    assert [(one.count, one.withdrawn) for one in UnmeasuredCount.objects.order_by("pk")] == [
        (4, False),
        (7, True),
    ]
