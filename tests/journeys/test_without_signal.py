"""A guide's phone without signal: what is said to be saved arrives, once, as it was said."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from samples.models import Fish, HeldEntry, Party, Vial
from samples.rules.vial_number import grouped
from tests.journeys import pocket as carried
from tests.journeys.hands import press, sees
from tests.journeys.pocket import (
    SHELL,
    Pocket,
    Wire,
    here,
    link_of,
    log,
    need_look,
    open_party,
    sent,
    sign_in_by_link,
    signal_says,
)

pytestmark = pytest.mark.browser


@pytest.fixture
def wire(live_server):
    wire = Wire(live_server.url)
    yield wire
    wire.cut()


@pytest.fixture
def phone(browser, wire, tmp_path):
    phone = Pocket(browser.browser_type, wire, tmp_path / "profile")
    yield phone
    phone.stop()
    assert phone.complaints == []


@pytest.fixture
def thirty(vials, guide):
    """All thirty vials in the guide's hands."""
    Vial.objects.update(state=Vial.State.ISSUED, issued_to=guide)
    return vials


@pytest.fixture
def at_ramp(phone, guide, biologist, thirty):
    """The guide's phone, signed in by the link, with a party open in Brindle."""
    phone.link = link_of(guide, biologist)
    phone.start()
    sign_in_by_link(phone, phone.link.token)
    open_party(phone.page)
    return phone


LENGTHS = [f"{8 + place // 10}.{place % 10}" for place in range(30)]
SEXES = ["Female", "Male", "Not known"]


SPECIES = {0: "White crappie", 20: "Black crappie"}  # it stays until another is chosen


def log_all(page, lengths, offset=0):
    for place, length in enumerate(lengths, start=offset):
        log(page, length, sex=SEXES[place % 3], species=SPECIES.get(place))


def rows():
    fish = Fish.objects.filter(withdrawn=False).order_by("vial__number")
    return list(fish.values_list("vial__number", "length_as_measured", "sex"))


def test_thirty_fish_outlive_a_phone_that_dies_in_the_hand(at_ramp, thirty, guide):
    page = at_ramp.page
    signal_says(page, "Signal.")
    at_ramp.offline()
    log_all(page, LENGTHS)
    here(page, 30)
    signal_says(page, "No signal.")

    at_ramp.kill()
    at_ramp.now += timedelta(hours=1)
    page = at_ramp.start(offline=True)
    at_ramp.open()

    here(page, 30)
    expect(page.locator("#last li").first).to_contain_text(grouped(thirty[29].number))
    assert Fish.objects.count() == 0

    at_ramp.offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    here(page, 0)
    sent(page, 30)
    codes = {"Female": "F", "Male": "M", "Not known": "U"}
    assert rows() == [
        (vial.number, length, codes[SEXES[place % 3]])
        for place, (vial, length) in enumerate(zip(thirty, LENGTHS, strict=True))
    ]
    assert Party.objects.count() == 1
    assert HeldEntry.objects.count() == 0
    fish = Fish.objects.order_by("pk")
    assert [one.species.short_name for one in fish] == ["White"] * 20 + ["Black"] * 10
    assert {one.logged_by for one in fish} == {guide}
    # The phone's clock was wrong; it is kept, and beside it when the fish reached us.
    first, last = fish[0], fish[29]
    assert carried.told_at(0) <= first.logged_at <= last.logged_at < carried.told_at(5)
    assert first.received_at - first.logged_at > timedelta(minutes=10)
