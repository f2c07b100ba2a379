"""How many taps and how long thirty fish take on the phone, without signal."""

import time
from itertools import count

import pytest
from playwright.sync_api import expect

from samples.models import Fish, Vial
from samples.rules.vial_number import ends_with, grouped
from tests.journeys.pocket import here, sent, wake

pytestmark = pytest.mark.browser

LENGTHS = ["9.1", "10.4", "8.7", "11.2", "9.9", "12.6"]
SEXES = ["Female", "Male", "Not known"]
# Vials as they come out of a bag, not in the order of their numbers.
OUT_OF_A_BAG = [(place * 11) % 30 for place in range(30)]


class Thumb:
    """Taps, and counts what it tapped: each key of the digit pad is one."""

    def __init__(self, page):
        self.page, self.taps = page, 0

    def tap(self, place):
        self.taps += 1
        place.tap()

    def type(self, digits):
        self.taps += len(digits)
        self.page.keyboard.type(digits)


def last_digits(number, free):
    """Return the fewest last digits, with the check digit or without,
    that one free vial ends in.
    """
    ways = (end for digits in count(2) for end in (number[-digits - 1 : -1], number[-digits:]))
    return next(end for end in ways if sum(ends_with(one, end) for one in free) == 1)


def log_by_thumb(thumb, place, *, end="", point=False):
    page = thumb.page
    before = thumb.taps
    length = page.locator("#fish-length")
    if end:
        thumb.tap(page.locator("#fish-vial"))
        thumb.type(end)
        thumb.tap(length)
    # After a fish the next length can be typed at once.
    expect(length).to_be_focused()
    inches = LENGTHS[place % 6]
    thumb.type(inches if point else inches.replace(".", ""))
    expect(length).to_have_value(inches)
    sex = page.locator("#fish-sex").get_by_role("radio", name=SEXES[place % 3], exact=True)
    thumb.tap(sex)
    thumb.tap(page.locator("#fish-save"))
    expect(page.locator("#saved")).to_contain_text(f"{inches} in")
    return thumb.taps - before


WAYS = [
    pytest.param(range(30), True, 6, id="in the order of the labels, with points"),
    pytest.param(OUT_OF_A_BAG, False, 9, id="every number typed"),
    pytest.param(OUT_OF_A_BAG, True, 10, id="every number typed, with points"),
]


@pytest.mark.parametrize(("order", "point", "most"), WAYS)
def test_thirty_fish_by_thumb(at_ramp, thirty, order, point, most, record_property):
    page = at_ramp.page
    expect(page.locator("#signal-more")).to_have_text("All sent.")
    at_ramp.offline()
    numbers = [thirty[place].number for place in order]
    free = {vial.number for vial in Vial.objects.all()}
    thumb = Thumb(page)
    thumb.tap(page.locator("#fish-species").get_by_role("radio", name="White crappie"))
    thumb.tap(page.locator("#fish-length"))
    taps = []

    began = time.monotonic()
    for place, number in enumerate(numbers):
        expected = page.locator("#fish-vial").input_value() == grouped(number)
        end = "" if expected else last_digits(number, free)
        taps.append(log_by_thumb(thumb, place, end=end, point=point))
        free.remove(number)
    seconds = round(time.monotonic() - began, 1)

    for name, value in {"taps": thumb.taps, "most": max(taps), "seconds": seconds}.items():
        record_property(name, value)
    print(f"\n30 fish: {thumb.taps} taps, {min(taps)} to {max(taps)} a fish, {seconds} s by script")
    assert max(taps) <= most
    assert sum(taps) / len(taps) <= 9
    here(page, 30)
    at_ramp.offline(False)
    wake(page)
    sent(page, 30)
    arrived = Fish.objects.order_by("logged_at", "pk").values_list("vial__number", flat=True)
    assert sorted(arrived) == sorted(numbers)
    assert dict(Fish.objects.values_list("vial__number", "length_as_measured")) == {
        number: LENGTHS[place % 6] for place, number in enumerate(numbers)
    }
