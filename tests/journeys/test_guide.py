"""A guide at the ramp, from the personal link to the closed party."""

from datetime import date

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from samples.accounts.links import make_link
from samples.models import Fish, HeldEntry, Party, Vial
from samples.rules.vial_number import grouped
from tests.chromium import DESK, PHONE, PHONE_WITHOUT_APP
from tests.journeys.hands import choose, headed, press, sees, write
from tests.people import NOW

pytestmark = pytest.mark.browser

WAYS = [
    pytest.param(PHONE_WITHOUT_APP, {}, id="phone"),
    pytest.param(PHONE, {"java_script_enabled": False}, id="phone without scripts"),
    pytest.param(DESK, {}, id="desk"),
]


def vial_of(page):
    return page.get_by_label("Vial")


def log_fish(page, *, length, sex="Female", species="White crappie"):
    choose(page, "Species", species)
    write(page, "Total length", length)
    choose(page, "Sex", sex)
    press(page, "Save fish")


def sign_in_by_link(page, guide, biologist):
    link = make_link(guide, made_by=biologist, good_until=date(2026, 12, 31), now=NOW)
    page.goto(reverse("accounts:this_is_me", args=[link.token]))
    headed(page, "R. Ostrow, is this you?")
    press(page, "This is me")
    headed(page, "Start a trip")


@pytest.mark.parametrize(("size", "options"), WAYS)
def test_three_fish_through_the_link(open_page, guide, biologist, vials, size, options):
    first, second, _, fourth = (vial.number for vial in vials[:4])
    if options:
        page = open_page(size, **options)
        sign_in_by_link(page, guide, biologist)
    else:
        # By the link a phone with scripts goes to the app; this is the form that needs none.
        page = open_page(size, user=guide)
        page.goto("/ramp/")
        headed(page, "Start a trip")
    page.get_by_label("Arm").select_option("Brindle")
    expect(page.get_by_label("Date caught")).to_have_value("2026-05-06")
    write(page, "Fish in the box", "3")
    press(page, "Start trip")
    sees(page, "Brindle: the trip is open.")

    # The lowest number in hand is offered, then the one after it.
    expect(vial_of(page)).to_have_value(grouped(first))
    log_fish(page, length="9.1")
    sees(page, f"Saved {grouped(first)}: 9.1 in,")
    expect(vial_of(page)).to_have_value(grouped(second))
    expect(page.get_by_role("radio", name="White crappie")).to_be_checked()

    # A slip is asked about beside its field, and nothing is saved before the answer.
    log_fish(page, length="94")
    sees(page, "Is this 9.4 inches?")
    expect(page.get_by_role("button", name="Check again")).to_be_visible()
    assert Fish.objects.count() == 1
    press(page, "Yes, 9.4")
    sees(page, f"Saved {grouped(second)}: 9.4 in,")

    # The phone's camera opens the link of the label: it fills the number in.
    page.goto(f"/V/{fourth}")
    expect(vial_of(page)).to_have_value(grouped(fourth))
    log_fish(page, length="11.2", sex="Male", species="Black crappie")
    sees(page, f"Saved {grouped(fourth)}: 11.2 in,")

    # Taken back, its vial is free and can be used for the right fish.
    press(page, f"Undo {grouped(fourth)}")
    sees(page, f"Deleted {grouped(fourth)}. The vial can be used again.")
    assert Fish.objects.get(species__code="black-crappie").withdrawn
    page.goto(f"/V/{fourth}")
    log_fish(page, length="11.4", sex="Male", species="Black crappie")

    press(page, f"Correct {grouped(first)}", role="link")
    headed(page, f"Correct {grouped(first)}")
    expect(page.get_by_label("Total length")).to_have_value("9.1")
    write(page, "Total length", "9.7")
    press(page, "Save correction")
    sees(page, f"Corrected {grouped(first)}.")

    press(page, "End trip", role="link")
    write(page, "Filled vials", "4")
    write(page, "Last vial", fourth[-3:])
    press(page, "End trip")
    sees(page, f"{grouped(vials[2].number)} was skipped. Is it empty?")
    press(page, "Yes, empty")
    sees(page, "4 in hand, but 3 logged with a vial.")
    assert Party.objects.get().closed_at is None
    write(page, "Filled vials", "3")
    press(page, "Check again")
    sees(page, "Trip ended with 3 fish.")

    assert_three_fish([first, second, fourth], guide)


def assert_three_fish(numbers, guide):
    fish = Fish.objects.filter(withdrawn=False).order_by("vial__number")
    rows = fish.values_list("vial__number", "length_as_measured", "sex", "species__short_name")
    assert list(rows) == [
        (numbers[0], "9.7", "F", "White"),
        (numbers[1], "9.4", "F", "White"),
        (numbers[2], "11.4", "M", "Black"),
    ]
    assert {(one.arm.name, one.logged_by, one.donor.person) for one in fish} == {
        ("Brindle", guide, guide)
    }
    corrected = fish[0].history.order_by("history_date").values_list("length_as_measured", flat=1)
    assert list(corrected) == ["9.1", "9.7"]
    assert Fish.objects.filter(withdrawn=True).count() == 1
    assert set(Vial.objects.filter(number__in=numbers).values_list("state", flat=True)) == {"used"}
    party = Party.objects.get()
    assert (party.count_in_hand, party.fish_in_box) == (3, 3)
    assert party.closed_at is not None
    assert HeldEntry.objects.count() == 0


def test_the_last_digits_are_enough_and_the_spines_are_explained(open_page, guide, party, vials):
    page = open_page(PHONE_WITHOUT_APP, user=guide)

    page.goto("/ramp/")
    press(page, "Spines?")
    helper = page.get_by_role("dialog", name="Count the spines on the top fin")
    expect(helper).to_contain_text("5 to 6 spines")
    press(page, "Back to the form")
    expect(helper).to_be_hidden()
    write(page, "Vial", vials[6].number[-3:])
    log_fish(page, length="10.0", species="Hybrid crappie")
    sees(page, f"Saved {grouped(vials[6].number)}: 10.0 in,")

    assert Fish.objects.get().vial == vials[6]


def test_a_second_fish_for_one_vial_waits_for_the_office(open_page, guide, party, vials):
    page = open_page(PHONE_WITHOUT_APP, user=guide)

    page.goto("/ramp/")
    log_fish(page, length="10.0")
    write(page, "Vial", vials[0].number)
    log_fish(page, length="12.0")
    sees(page, f"{grouped(vials[0].number)} already has a fish, your White crappie of 10.0 in.")
    press(page, "Send it to the office")

    sees(page, "The office will check this one.")
    assert Fish.objects.get().length_as_measured == "10.0"
    assert HeldEntry.objects.get().said["length"] == "12.0"
