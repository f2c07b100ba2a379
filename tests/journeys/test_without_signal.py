"""A guide's phone without signal: what is said to be saved arrives, once, as it was said."""

import re
from datetime import timedelta

import pytest
from django.http import HttpResponse
from playwright.sync_api import expect

from samples.accounts.links import revoke_link
from samples.models import Fish, HeldEntry, Party, Photo, Vial
from samples.ramp import api
from samples.rules.vial_number import grouped
from tests.journeys import pocket as carried
from tests.journeys.hands import press
from tests.journeys.pocket import (
    SEXES,
    here,
    link_of,
    log,
    log_all,
    need_look,
    open_party,
    paste_link,
    rows,
    sent,
    signal_says,
    wake,
)
from tests.people import NOW
from tests.ramp.test_photos import with_position

pytestmark = pytest.mark.browser


LENGTHS = [f"{8 + place // 10}.{place % 10}" for place in range(30)]


def test_thirty_fish_outlive_a_phone_that_dies_in_the_hand(at_ramp, thirty, guide):
    page = at_ramp.page
    signal_says(page, "Online.")
    at_ramp.offline()
    page.locator("#fish-photo").set_input_files(
        {"name": "fish.jpg", "mimeType": "image/jpeg", "buffer": with_position()}
    )
    expect(page.locator("#photo-state")).to_contain_text("Photo added")
    log_all(page, LENGTHS)
    here(page, 30)
    signal_says(page, "Offline.")

    at_ramp.kill()
    at_ramp.now += timedelta(hours=1)
    page = at_ramp.start(offline=True)
    at_ramp.open()

    here(page, 30)
    expect(page.locator("#last li").first).to_contain_text(grouped(thirty[29].number))
    assert Fish.objects.count() == 0

    with page.expect_response("**/photo/**") as taken_in:
        at_ramp.offline(False)
        wake(page)
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
    # It went after its fish, upright, and without the place that was in its file.
    assert taken_in.value.status == 201
    photo = Photo.objects.get()
    assert (photo.fish, photo.width_px, photo.height_px) == (fish[0], 600, 800)
    assert re.findall(rb"Exif|Maker|secret", taken_in.value.request.post_data_buffer) == []
    # The phone's clock was wrong; it is kept, and beside it when the fish reached us.
    first, last = fish[0], fish[29]
    assert carried.told_at(0) <= first.logged_at <= last.logged_at < carried.told_at(5)
    assert first.received_at - first.logged_at > timedelta(minutes=10)


def test_a_photo_holds_no_fish_up_and_stays_with_its_own(at_ramp, thirty):
    page = at_ramp.page
    at_ramp.offline()

    def add_photo():
        page.locator("#fish-photo").set_input_files(
            {"name": "fish.jpg", "mimeType": "image/jpeg", "buffer": with_position()}
        )

    # A phone that never gets done with a photo: its fish is saved all the same.
    page.evaluate(
        "[window.read, window.createImageBitmap] = [createImageBitmap, () => new Promise(() => {})]"
    )
    add_photo()
    log(page, "9.1", species="White crappie")
    page.evaluate("() => void (window.createImageBitmap = window.read)")

    # Half a fish with its photo, while others are looked at and corrected.
    add_photo()
    state = page.locator("#photo-state")
    expect(state).to_contain_text("Photo added")
    press(page, "All fish", role="link")
    press(page, "Log next fish", role="link")
    expect(state).to_contain_text("Photo added")
    press(page, f"Correct {grouped(thirty[0].number)}")
    expect(state).to_be_empty()
    press(page, "Cancel")
    expect(state).to_contain_text("Photo added")

    log(page, "9.2", sex="Male")
    expect(state).to_be_empty()
    press(page, f"Undo {grouped(thirty[1].number)}", within=page.locator("#last"))
    expect(page.locator("#saved")).to_contain_text("Deleted")
    carried.deliberately(page)
    press(page, f"Put back {grouped(thirty[1].number)}", within=page.locator("#last"))
    expect(page.locator("#saved")).to_contain_text("Put back")
    press(page, "What is on this phone", role="link")
    expect(page.locator("#waiting-lead")).to_contain_text("1 photo")
    with page.expect_response("**/photo/**"):
        at_ramp.offline(False)
        wake(page)
    photo = Photo.objects.get()
    assert (photo.fish.withdrawn, photo.fish.vial) == (False, thirty[1])


def test_two_people_and_a_link_that_was_taken_back(
    at_ramp, guide, second_guide, biologist, thirty, season
):
    """Nothing is dropped, and each fish arrives as its own writer's."""
    page, wire = at_ramp.page, at_ramp.wire
    wire.cut()
    log_all(page, ["9.1", "9.2"])
    revoke_link(at_ramp.link.link, now=NOW)
    wire.join()
    wake(page)
    notice = page.locator("#notice-link")
    expect(notice).to_contain_text("The personal link of R. Ostrow is needed again.")
    here(page, 2)
    assert Fish.objects.count() == 0
    log(page, "9.3", sex="Male")
    here(page, 3)

    # Another guide borrows the phone. Theirs go, and nobody's as somebody else's.
    Vial.objects.filter(sequence__gt=20).update(issued_to=second_guide)
    press(page, "Switch user", role="link")
    paste_link(page, link_of(second_guide, biologist).token)
    expect(page.locator("#saved")).to_contain_text("I. Talvik: this phone logs for you now.")
    open_party(page, "Cutbank")
    expect(page.locator("#fish-vial")).to_have_value(grouped(thirty[20].number))
    log(page, "11.1", species="White crappie")
    sent(page, 1)
    here(page, 3)
    assert [one.logged_by for one in Fish.objects.all()] == [second_guide]

    press(page, "Paste the link", role="link")
    paste_link(page, link_of(guide, biologist).token)
    here(page, 0)
    sent(page, 3)
    expect(notice).to_have_count(0)
    expect(page.locator("#party-arm")).to_have_text("Brindle")
    fish = Fish.objects.order_by("vial__number")
    assert [(one.length_as_measured, one.logged_by, one.arm.name) for one in fish] == [
        ("9.1", guide, "Brindle"),
        ("9.2", guide, "Brindle"),
        ("9.3", guide, "Brindle"),
        ("11.1", second_guide, "Cutbank"),
    ]
    assert {party.opened_by for party in Party.objects.all()} == {guide, second_guide}
    assert HeldEntry.objects.count() == 0


# ---------- Two tabs ----------


def test_two_tabs_send_each_fish_once(at_ramp, thirty, monkeypatch):
    received = []
    plain = api.read_or_answer

    def listening(raw):
        received.append(raw["entry_id"])
        return plain(raw)

    monkeypatch.setattr(api, "read_or_answer", listening)
    one = at_ramp.page
    expect(one.locator("#signal-more")).to_have_text("All sent.")
    other = at_ramp.another_tab()
    at_ramp.offline()
    # The opening of the trip went before, or while this test began to listen.
    received.clear()
    log_all(one, ["9.1"])
    # The other tab still offers the number that was used here, and asks about it.
    log(other, "10.1", species="White crappie", said="")
    expect(other.locator("#ask-vial_used")).to_contain_text(
        "already has a fish, your White crappie of 9.1"
    )
    log(other, "10.1", vial=thirty[1].number)
    log(one, "9.2", vial=thirty[2].number)
    # A thumb that taps twice says it once.
    one.locator("#fish-length").fill("9.3")
    one.locator("#fish-sex").get_by_role("radio", name="Male", exact=True).tap()
    one.evaluate("() => { for (const _ of '12') document.getElementById('fish-save').click(); }")
    expect(one.locator("#saved")).to_contain_text("9.3 in")
    here(one, 4)

    at_ramp.offline(False)
    wake(one)
    wake(other)
    for page in (one, other):
        wake(page)
        here(page, 0)
        sent(page, 4)
    assert [length for _, length, _ in rows()] == ["9.1", "10.1", "9.2", "9.3"]
    assert len(received) == len(set(received)) == 4
    assert HeldEntry.objects.count() == 0


# ---------- No room, and networks that are not ours ----------


def test_a_full_phone_and_networks_of_others(at_ramp, monkeypatch):
    page, wire = at_ramp.page, at_ramp.wire
    sent(page, 0)
    wire.cut()
    log_all(page, ["9.1", "9.2"])
    # Asked once after a start, the browser remembers for a while how much room there is.
    at_ramp.stop()
    page = at_ramp.start()
    room, site = at_ramp.context.new_cdp_session(page), {"origin": f"{wire.url}/"}
    room.send("Storage.overrideQuotaForOrigin", {**site, "quotaSize": 1})
    at_ramp.open()
    log(page, "9.3", species="White crappie", said="")
    trouble = page.locator("#notice-trouble")
    expect(trouble).to_contain_text("Not saved: this phone has no room left.")
    expect(page.locator("#fish-length")).to_have_value("9.3")
    expect(page.get_by_role("radio", name="Female")).to_be_checked()
    here(page, 2)
    room.send("Storage.overrideQuotaForOrigin", site)
    page.locator("#fish-save").tap()
    expect(page.locator("#saved")).to_contain_text("9.3 in")
    expect(trouble).to_have_count(0)
    here(page, 3)

    # A network that answers everything with a page of its own; the app opens in it all the same.
    wire.join(portal=True)
    at_ramp.open()
    signal_says(page, "Online,")
    here(page, 3)
    log(page, "9.4", species="White crappie")
    here(page, 4)
    wire.cut()
    wire.join()
    # Now the lists are ours, and only the outbox is answered by somebody else.
    html = HttpResponse("<title>Welcome</title>")
    with monkeypatch.context() as portal:
        portal.setattr(api.OutboxView, "post", lambda *_: html)
        wake(page)
        signal_says(page, "Online,")
        here(page, 4)
        need_look(page, 0)
    assert Fish.objects.count() == 0

    wake(page)
    here(page, 0)
    signal_says(page, "Online.")
    assert [length for _, length, _ in rows()] == ["9.1", "9.2", "9.3", "9.4"]
