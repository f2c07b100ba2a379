"""The app on a guide's or a clerk's phone: renewed, with labels read, and put right."""

from typing import Any

import pytest
from django.http import HttpResponse
from playwright.sync_api import expect

from samples.models import Fish, HeldEntry, Party, Phone, Reach, UnmeasuredCount, Vial
from samples.ramp import api
from samples.ramp.views import app as app_views
from samples.rules.vial_number import grouped
from tests.journeys import pocket as carried
from tests.journeys.hands import choose, press, sees
from tests.journeys.pocket import (
    SHELL,
    here,
    link_of,
    log,
    log_all,
    need_look,
    open_party,
    rows,
    sent,
    sign_in_by_link,
    sign_in_by_session,
    wake,
)
from tests.people import INCH, NOW

pytestmark = pytest.mark.browser


# ---------- A newer version of the app ----------


def deploy(monkeypatch, words, *files):
    """Let the site give a shell with other words in it, and name these files besides."""
    app: Any = app_views
    plain_page, plain_bytes = app.render_to_string, app._bytes_of

    def page_of(name, context):
        made = plain_page(name, context)
        return made.replace("Last fish of this trip", words)

    monkeypatch.setattr(app_views, "render_to_string", page_of)
    monkeypatch.setattr(app_views, "FILES", (*app_views.FILES, *files))
    monkeypatch.setattr(
        app_views, "_bytes_of", lambda name: b"" if name in files else plain_bytes(name)
    )


def look_for_update(page):
    """Return what the browser does by itself on a visit; give whether a newer version was kept."""
    return page.evaluate(
        """async () => {
          const registration = await navigator.serviceWorker.getRegistration();
          await registration.update().catch(() => {});
          const fresh = registration.installing;
          if (fresh) await new Promise((done) => fresh.addEventListener("statechange", done));
          return Boolean(registration.waiting);
        }"""
    )


def test_an_update_waits_for_the_tap_and_for_the_fish_in_hand(at_ramp, monkeypatch):
    page, wire = at_ramp.page, at_ramp.wire
    last_head, update = page.locator("#last-head"), page.locator("#notice-update")
    taking = api.OutboxView.post
    monkeypatch.setattr(api.OutboxView, "post", lambda *_: HttpResponse(status=503))
    log_all(page, ["9.1"])

    # A deployment with a file that is not there: the old version stays, whole.
    with monkeypatch.context() as broken:
        deploy(broken, "Half a version", "samples/gone.css")
        assert not look_for_update(page)
        at_ramp.open()
        expect(last_head).to_have_text("Last fish of this trip")
        here(page, 1)
        expect(update).to_have_count(0)

    deploy(monkeypatch, "Fish of the new version")
    assert look_for_update(page)
    expect(update).to_contain_text("A newer Earstone is here. Update when you are done.")
    page.locator("#fish-length").fill("94")
    expect(update).to_contain_text("Save or clear this fish first")
    # It is marked as not to be pressed, which does not keep a thumb from it.
    update.get_by_role("button", name="Update now").tap(force=True)
    expect(last_head).to_have_text("Last fish of this trip")
    # Not even a page that is loaded again changes under the thumb, and the half fish is there.
    at_ramp.open()
    expect(last_head).to_have_text("Last fish of this trip")
    expect(page.locator("#fish-length")).to_have_value("9.4")
    wire.cut()
    log(page, "9.4")
    wire.join()

    expect(update).to_contain_text("Update when you are done.")
    update.get_by_role("button", name="Update now").tap()
    expect(last_head).to_have_text("Fish of the new version")
    here(page, 2)
    expect(page.locator("#last li")).to_have_count(2)
    expect(update).to_have_count(0)
    assert len(page.evaluate("caches.keys()")) == 1
    monkeypatch.setattr(api.OutboxView, "post", taking)
    wake(page)
    sent(page, 2)
    assert [length for _, length, _ in rows()] == ["9.1", "9.4"]


# ---------- Labels ----------

CAMERA = """
window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["qr_code"]; }
  async detect() { return window.before ? [{ rawValue: window.before }] : []; }
};
"""
FAKE_CAMERA = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]


def test_labels_are_read_by_camera_and_by_link(pocket, guide, biologist, thirty):
    page = pocket.start(flags=FAKE_CAMERA, script=CAMERA)
    number = thirty[6].number
    page.goto(SHELL)
    expect(page.get_by_role("heading", name="Whose phone is this?")).to_be_visible()
    carried.kept(page)
    pocket.offline()
    page.goto(f"/V/{number}")
    expect(page.get_by_role("heading", level=1, name=f"Vial {grouped(number)}")).to_be_visible()
    pocket.offline(False)
    sign_in_by_link(pocket, link_of(guide, biologist).token)
    open_party(page)

    pocket.offline()
    page.goto(f"/V/{number}")
    expect(page.locator("#fish-vial")).to_have_value(grouped(number))
    assert page.url.endswith(SHELL)
    log(page, "9.4", species="White crappie")

    press(page, "Scan")
    scanner = page.get_by_role("dialog", name="Hold the label in front of the camera")
    page.evaluate("window.before = 'https://example.org/menu'")
    expect(scanner).to_contain_text("This code is not a vial's label.")
    page.evaluate(f"window.before = 'https://old.example/V/{thirty[11].number}'")
    expect(scanner).to_be_hidden()
    expect(page.locator("#fish-vial")).to_have_value(grouped(thirty[11].number))
    page.wait_for_function("() => !document.querySelector('#scan-video').srcObject.active")
    log(page, "9.5")
    pocket.offline(False)
    wake(page)
    sent(page, 2)
    assert [row[0] for row in rows()] == [number, thirty[11].number]


# ---------- The clerk ----------


def test_a_clerk_logs_interviews(pocket, clerk, vials, live_server):
    Vial.objects.update(state=Vial.State.ISSUED, issued_to=clerk)
    page = pocket.start()
    sign_in_by_session(pocket, clerk)
    pocket.offline()
    page.get_by_label("Interview key").fill("K-17")
    page.get_by_label("Donor").fill("L. Brask")
    expect(page.get_by_label("Method")).to_have_value("creel")
    page.get_by_label("Fish in the box").fill("12")
    open_party(page)
    log(page, "9.1", species="White crappie")
    choose(page, "Vial or no vial", "No vial")
    log(page, "9.2", said="Saved (no vial)")
    press(page, "Count unmeasured", role="link")
    page.locator("#count-species").get_by_role("radio", name="Black crappie").tap()
    page.get_by_role("textbox", name="How many").fill("4")
    press(page, "Save the count")
    sees(page, "4 Black crappie counted.")
    press(page, "Back to the fish", role="link")
    press(page, "Next interview", role="link")
    expect(page.get_by_label("Interview key")).to_have_value("K-18")
    expect(page.locator("#party-lead")).to_contain_text("Interview K-17 (2 fish) ends")
    expect(page.get_by_label("Donor")).to_have_value("")
    expect(page.get_by_label("Fish in the box")).to_have_value("")
    expect(page.get_by_label("Arm")).to_have_value("Brindle")
    open_party(page, "Hobbin")
    expect(page.locator("#saved")).to_contain_text("Interview K-17 ended with 2 fish.")
    expect(page.locator("#last-none")).to_be_visible()
    # What was counted stays in the list of its own interview.
    press(page, "Next interview", role="link")
    page.get_by_role("button", name="Interview K-17 2 fish, 4 counted").tap()
    counted = page.locator("#trip-counted > li")
    expect(counted).to_have_count(1)
    expect(counted).to_contain_text("4 Black crappie, not measured")
    expect(counted.get_by_role("button", name="Undo 4 Black crappie")).to_be_visible()
    page.evaluate("location.hash = 'fish'")
    # What was set stays, over the next interview too; set back it offers the next number.
    expect(page.locator("#fish-vial")).to_be_hidden()
    choose(page, "Vial or no vial", "In a vial")
    log(page, "10.1", species="White crappie")
    here(page, 4)

    pocket.offline(False)
    wake(page)
    here(page, 0)
    sent(page, 4)
    first, second = Party.objects.order_by("pk")
    assert (first.interview_key, second.interview_key) == ("K-17", "K-18")
    assert (first.fish_in_box, second.fish_in_box) == (12, None)
    assert first.closed_at is not None
    assert second.closed_at is None
    assert first.donor.name == "L. Brask"
    assert second.donor is None
    told: list[Any] = list(
        Fish.objects.order_by("pk").values_list("party", "length_as_measured", "vial__sequence")
    )
    assert told == [(first.pk, "9.1", 1), (first.pk, "9.2", None), (second.pk, "10.1", 2)]
    counted = UnmeasuredCount.objects.get()
    assert (counted.party, counted.species.short_name, counted.count) == (first, "Black", 4)

    # The phone's token is taken back; signing in anew gives another, and what waited goes.
    Phone.objects.update(revoked_at=NOW)
    log(page, "10.2")
    expect(page.locator("#notice-link")).to_contain_text("D. Marrable")
    here(page, 1)
    page.goto("/ramp/")
    page.wait_for_url(f"**{SHELL}*")
    sent(page, 5)
    here(page, 0)
    assert Fish.objects.get(length_as_measured="10.2").logged_by == clerk


# ---------- Put right, before and after it was sent ----------


def test_what_was_written_wrong_is_put_right(at_ramp, thirty, office):
    page = at_ramp.page
    at_ramp.offline()
    log_all(page, ["9.1", "9.2", "9.3"])
    numbers = [grouped(vial.number) for vial in thirty[:3]]
    press(page, f"Correct {numbers[0]}")
    expect(page.locator("#fish-length")).to_have_value("9.1")
    page.locator("#fish-length").fill("9.7")
    press(page, "Save correction")
    expect(page.locator("#saved")).to_contain_text(f"Corrected {numbers[0]} 9.7 in")
    press(page, f"Undo {numbers[1]}")
    expect(page.locator("#saved")).to_contain_text(f"Deleted {numbers[1]} Vial can be reused")
    log(page, "11.0", vial=thirty[1].number)
    at_ramp.offline(False)
    wake(page)
    here(page, 0)
    assert [row[:2] for row in rows()] == [
        (thirty[0].number, "9.7"),
        (thirty[1].number, "11.0"),
        (thirty[2].number, "9.3"),
    ]
    assert Fish.objects.filter(withdrawn=True).count() == 1

    # Once the vial is at the office a correction is a request.
    Vial.objects.filter(pk=thirty[2].pk).update(
        state="received", received_at=NOW, received_by=office
    )
    press(page, f"Correct {numbers[2]}")
    page.locator("#fish-length").fill("9.9")
    press(page, "Save correction")
    last = page.locator("#last li").filter(has_text=numbers[2])
    expect(last).to_contain_text("kept for the office to sort out")
    assert HeldEntry.objects.get().reason == "already_received"
    assert rows()[2][1] == "9.3"


def test_what_the_office_cannot_take_stays_until_it_is_put_right(at_ramp, thirty, white):
    page = at_ramp.page
    expect(page.locator("#signal-more")).to_have_text("All sent.")
    at_ramp.offline()
    log_all(page, ["9.1", "14.2"])
    press(page, "End trip", role="link")
    page.get_by_label("Filled vials").fill("2")
    press(page, "End trip")
    sees(page, "Trip ended with 2 fish.")
    # A second party at a reach that the office takes out meanwhile.
    open_party(page, reach="Lower")
    log(page, "9.3", species="White crappie")
    Reach.objects.filter(arm__name="Brindle", name="Lower").delete()
    white.plausible_max_hundredths_mm = 13 * INCH
    white.save()

    at_ramp.offline(False)
    wake(page)
    need_look(page, 2)
    here(page, 1)
    assert [length for _, length, _ in rows()] == ["9.1"]
    page.locator("#count-look a").tap()
    looks = page.locator("#looks > li")
    expect(looks).to_have_count(2)
    expect(looks.nth(0)).to_contain_text("White crappie here run from 2 to 13 inches.")
    expect(looks.nth(1)).to_contain_text("Brindle has no reach Lower.")

    # The fish is of the party that is closed, and goes there.
    press(page, "Fix", within=looks.nth(0))
    page.locator("#fish-length").fill("12.4")
    press(page, "Save correction")
    expect(page.locator("#count-look")).to_have_text("1")
    page.locator("#count-look a").tap()
    press(page, "Fix", within=looks.first)
    expect(page.get_by_label("Reach")).to_have_value("")
    press(page, "Start trip")
    need_look(page, 0)
    here(page, 0)
    fish = Fish.objects.order_by("vial__number")
    assert [(one.length_as_measured, one.party.reach) for one in fish] == [
        ("9.1", None),
        ("12.4", None),
        ("9.3", None),
    ]
    assert len({one.party_id for one in fish}) == 2
    assert fish[0].party == fish[1].party
    assert HeldEntry.objects.count() == 0


def test_a_question_that_the_office_asks_back_is_answered_with_a_button(at_ramp, thirty, season):
    page = at_ramp.page
    expect(page.locator("#signal-more")).to_have_text("All sent.")
    at_ramp.offline()
    press(page, "End trip", role="link")
    page.get_by_label("Filled vials").fill("0")
    press(page, "End trip")
    open_party(page)
    log_all(page, ["9.1"])
    # The phone does not know yet that the season was moved meanwhile.
    season.starts_on = "2026-06-01"
    season.save()

    at_ramp.offline(False)
    wake(page)
    need_look(page, 1)
    page.locator("#count-look a").tap()
    press(page, "Fix")
    sees(page, "May 6, 2026 is outside the season, June 1, 2026 to December 31, 2026.")
    press(page, "May 6, 2026 is right")

    need_look(page, 0)
    here(page, 0)
    party = Party.objects.order_by("pk").last()
    assert party.slip_answers == ["date_out_of_season"]
    assert Fish.objects.get().party == party
    assert not HeldEntry.objects.exists()
