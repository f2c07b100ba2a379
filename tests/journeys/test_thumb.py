"""The app under a real thumb: length key by key, taps that come twice, spines, and no vial."""

import json

import pytest
from playwright.sync_api import expect

from samples.models import Fish, Vial
from samples.rules.vial_number import grouped
from tests.journeys.hands import choose, press
from tests.journeys.pocket import (
    SHELL,
    here,
    kept,
    log,
    open_party,
    rows,
    sent,
    sign_in_by_session,
    tap_twice,
    type_length,
    wake,
)

pytestmark = pytest.mark.browser

# ---------- Typing ----------

TYPED = {
    "10.1": "10.1",
    "101": "10.1",
    "10,1": "10,1",
    "11.5": "11.5",
    "14.0": "14.0",
    "254mm": "254mm",
    "25.4cm": "25.4cm",
    "9.4in": "9.4in",
    "94<5": "9.5",
    "10.2<1": "10.1",
    "101[[<": "1.1",
    "111[[<0": "10.1",
    "10[<": "10",
    "35.8<<<<101": "10.1",
}


def test_a_length_reads_as_its_keys_were_typed(at_ramp):
    page = at_ramp.page
    field = page.locator("#fish-length")
    read = {}
    for keys in TYPED:
        field.fill("")
        type_length(page, keys)
        read[keys] = field.input_value()
    assert read == TYPED

    # Half typed, it outlives the page: the next key goes on from there.
    field.fill("")
    type_length(page, "10")
    expect(field).to_have_value("1.0")
    # Asked again by the page itself: waiting for a function takes its promise for an answer.
    page.evaluate(
        """() => new Promise((resolve) => {
          const look = () => {
            indexedDB.open("earstone").onsuccess = ({ target }) => {
              const read = target.result.transaction("kept").objectStore("kept").get("draft");
              read.onsuccess = () => {
                target.result.close();
                if (read.result?.words.length === "1.0") resolve();
                else setTimeout(look, 20);
              };
            };
          };
          look();
        })"""
    )
    at_ramp.open()
    expect(field).to_have_value("1.0")
    type_length(page, ".1")
    expect(field).to_have_value("10.1")


def test_a_likely_length_is_offered_as_a_button(at_ramp, thirty):
    page = at_ramp.page
    choose(page, "Species", "White crappie")
    for place, keys in enumerate(["1.01", "101."]):
        type_length(page, keys)
        choose(page, "Sex", "Female")
        press(page, "Save fish")
        expect(page.locator(".ask")).to_contain_text("Is this 10.1 inches?")
        expect(page.locator("#fish-save")).to_have_attribute("aria-disabled", "true")
        press(page, "Yes, 10.1")
        expect(page.locator("#saved")).to_contain_text(f"Saved {grouped(thirty[place].number)}")
    here(page, 0)
    assert [length for _, length, _ in rows()] == ["10.1", "10.1"]


def test_ten_inches_typed_as_two_digits_are_asked_about(at_ramp):
    page = at_ramp.page
    choose(page, "Species", "White crappie")
    type_length(page, "20")
    choose(page, "Sex", "Female")
    press(page, "Save fish")
    expect(page.locator(".ask")).to_contain_text("Is this 20.0 inches?")
    press(page, "No, it is 2.0")
    expect(page.locator("#saved")).to_contain_text("2.0 in")
    here(page, 0)
    assert [length for _, length, _ in rows()] == ["2.0"]


def test_a_number_that_is_none_of_ours_offers_the_near_ones(at_ramp, thirty):
    page = at_ramp.page
    page.locator("#fish-vial").fill("26 0001 9")
    choose(page, "Species", "White crappie")
    type_length(page, "94")
    choose(page, "Sex", "Female")
    press(page, "Save fish")
    asked = page.locator(".ask")
    expect(asked).to_contain_text("26 0001 9 is not one of our vial numbers.")
    press(page, "26 0001 8")
    expect(page.locator("#saved")).to_contain_text("Saved 26 0001 8")

    page.locator("#fish-vial").fill("999")
    type_length(page, "94")
    choose(page, "Sex", "Female")
    press(page, "Save fish")
    error = page.locator('[data-field="vial"] .field-error')
    expect(error).to_have_text(
        "No vial in your hands ends in 999. Enter the whole number, such as 26 0002 6."
    )


# ---------- Two taps ----------


def test_save_and_undo_answer_once_however_often_they_are_tapped(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    numbers = [grouped(vial.number) for vial in thirty[:3]]
    choose(page, "Species", "White crappie")
    for place in range(3):
        type_length(page, "9.1")
        choose(page, "Sex", "Female")
        tap_twice(page, page.locator("#fish-save"))
        expect(page.locator("#saved")).to_contain_text(f"Saved {numbers[place]}")
        expect(page.locator(".field-error")).to_have_count(0)
    here(page, 3)
    # The same tap later is a tap on an empty form, and says what is missing.
    page.clock.fast_forward(2_000)
    press(page, "Save fish")
    expect(page.locator('[data-field="length"] .field-error')).to_have_count(1)

    last = page.locator("#last li")
    tap_twice(page, last.nth(1).get_by_role("button", name="Undo"))
    expect(last.nth(1)).to_contain_text(numbers[1])
    expect(last).to_have_count(3)
    expect(page.locator("#saved")).to_contain_text(f"Deleted {numbers[1]}")
    expect(last.get_by_role("button", name="Undo")).to_have_count(2)
    page.clock.fast_forward(2_000)
    press(page, f"Put back {numbers[1]}", within=last.nth(1))
    expect(page.locator("#saved strong")).to_have_text(f"Put back {numbers[1]}")
    expect(last.get_by_role("button", name="Undo")).to_have_count(3)

    # The row above the form does the same where the thumb is after a save.
    page.clock.fast_forward(2_000)
    tap_twice(page, page.locator("#saved").get_by_role("button", name=f"Undo {numbers[1]}"))
    expect(page.locator("#saved")).to_contain_text(f"Deleted {numbers[1]}")
    expect(page.locator("#last li")).to_have_count(3)

    at_ramp.offline(False)
    wake(page)
    here(page, 0)
    assert [number for number, _, _ in rows()] == [thirty[0].number, thirty[2].number]
    assert Fish.objects.filter(withdrawn=True).count() == 2


def test_a_fish_is_not_put_back_into_a_vial_that_holds_another(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()
    number = grouped(thirty[0].number)
    log(page, "9.1", species="White crappie")
    page.clock.fast_forward(2_000)
    press(page, f"Undo {number}", within=page.locator("#saved"))
    back = page.locator("#last").get_by_role("button", name=f"Put back {number}")
    expect(back).to_be_visible()
    log(page, "9.2")
    expect(back).to_have_count(0)
    expect(page.locator("#last li")).to_have_count(1)


# ---------- Spines ----------


def test_spines_are_counted_on_the_picture_and_kept_with_the_fish(at_ramp):
    page = at_ramp.page
    kept(page)
    at_ramp.offline()
    page.goto(SHELL)
    press(page, "Spines?")
    helper = page.get_by_role("dialog", name="Count the spines on the top fin")
    drawn = helper.get_by_role("img", name="The top fin of a crappie")
    expect(drawn).to_be_visible()
    # It is drawn from a file of the app, without signal too.
    page.wait_for_function(
        "() => document.querySelector('.rise .spines use').getBBox().width > 200"
    )
    choose(page, "Spines counted", "6")
    expect(helper).to_contain_text("6 spines fit White crappie.")
    choose_in(helper, "White crappie")
    expect(helper).to_be_hidden()
    expect(page.locator("#fish-species").get_by_role("radio", name="White crappie")).to_be_checked()
    expect(page.get_by_role("button", name="Spines: 6")).to_be_visible()
    log(page, "9.4")
    expect(page.get_by_role("button", name="Spines?")).to_be_visible()
    at_ramp.offline(False)
    wake(page)
    sent(page, 1)
    fish = Fish.objects.get()
    assert (fish.species.code, fish.spines, fish.told_by) == ("white-crappie", 6, "spines")


def choose_in(helper, words):
    helper.get_by_role("group", name="Species").get_by_role("radio", name=words).tap()


# ---------- With and without a vial ----------


def test_a_fish_that_is_only_measured_takes_no_number(pocket, clerk, vials):
    Vial.objects.update(state=Vial.State.ISSUED, issued_to=clerk)
    page = pocket.start()
    sign_in_by_session(pocket, clerk)
    open_party(page)
    pocket.offline()
    log(page, "9.1", species="White crappie")
    choose(page, "Vial or no vial", "No vial")
    for length in ("9.2", "9.3"):
        log(page, length, said="Saved (no vial)")
        expect(page.locator("#fish-vial")).to_be_hidden()
    # It stays as it was set, over a page that is loaded again too.
    page.goto(SHELL)
    expect(page.get_by_role("radio", name="No vial")).to_be_checked()
    log(page, "9.4", said="Saved (no vial)")
    choose(page, "Vial or no vial", "In a vial")
    expect(page.locator("#fish-vial")).to_have_value(grouped(vials[1].number))
    page.locator("#fish-vial").fill("")
    type_length(page, "9.5")
    choose(page, "Sex", "Female")
    press(page, "Save fish")
    expect(page.locator('[data-field="vial"] .field-error')).to_have_text(
        "Enter the vial number, or choose No vial."
    )
    page.locator("#fish-vial").fill(json.dumps(vials[4].sequence).zfill(4))
    press(page, "Save fish")
    expect(page.locator("#saved")).to_contain_text(f"Saved {grouped(vials[4].number)}")
    pocket.offline(False)
    wake(page)
    here(page, 0)
    told = Fish.objects.order_by("pk").values_list("length_as_measured", "vial__sequence")
    assert list(told) == [("9.1", 1), ("9.2", None), ("9.3", None), ("9.4", None), ("9.5", 5)]
