"""A phone that is carried about: it loses its signal, its power and its room, and comes back.

Its browser keeps a profile on disk, as a phone does, and reaches the site through a wire that
can be cut. Killed, it is killed as a phone kills it: at once, without a word to its pages.
"""

import contextlib
import os
import signal
import socket
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.urls import reverse
from playwright.sync_api import Error, Page, expect

from samples.accounts.links import make_link
from samples.models import Fish
from tests import chromium
from tests.conftest import session_cookie
from tests.journeys.hands import look_first, press
from tests.people import CAUGHT_ON, NOW

SHELL = "/ramp/app/"
# The phone's own clock, which nobody set right: a quarter of an hour behind the server's.
PHONE_NOW = NOW - timedelta(minutes=15)
ZONE = "America/Chicago"
PAGE_LIVES_FOR_S = 10
HOUR_MS = 60 * 60 * 1000
SECOND_TAP_MS = 60
NEXT_TAP_MS = 2_000


PORTAL = (
    b"HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nConnection: close\r\n\r\n"
    b"<!DOCTYPE html><title>Lakeside Lodge</title><p>Welcome. Give your room number."
)


class Wire:
    """A line to the live server under an address of its own, that can be cut and joined."""

    def __init__(self, url):
        self._far = int(url.rsplit(":", 1)[1])
        self._open = []
        self._portal = False
        self._listen(0)
        self.port = self._ear.getsockname()[1]
        self.url = f"http://localhost:{self.port}"

    def _listen(self, port):
        self._ear = socket.create_server(("127.0.0.1", port), backlog=64)
        threading.Thread(target=self._take, args=[self._ear], daemon=True).start()

    def _take(self, ear):
        while True:
            try:
                near, _ = ear.accept()
            except OSError:
                return
            if self._portal:
                _welcome(near)
                continue
            try:
                far = socket.create_connection(("localhost", self._far))
            except OSError:
                near.close()
                continue
            self._open += [near, far]
            for one, other in [(near, far), (far, near)]:
                threading.Thread(target=_carry, args=[one, other], daemon=True).start()

    def cut(self):
        """Refuse every new connection and break those that stand."""
        for one in [self._ear, *self._open]:
            # Closing alone does not wake a thread that waits in it.
            with contextlib.suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
            one.close()
        self._open = []

    def join(self, *, portal=False):
        """Lead to the server again, or into a network that answers everything with its own page."""
        self._portal = portal
        self._listen(self.port)


def _welcome(near):
    with near, contextlib.suppress(OSError):
        near.settimeout(1)
        near.recv(65_536)
        near.sendall(PORTAL)
        near.shutdown(socket.SHUT_WR)


def _carry(one, other):
    with contextlib.suppress(OSError):
        while data := one.recv(65_536):
            other.sendall(data)
    for end in (one, other):
        with contextlib.suppress(OSError):
            end.shutdown(socket.SHUT_RDWR)


class Pocket:
    """A phone with a profile that lasts. `page` is the page in front."""

    def __init__(self, browser_type, wire, profile: Path):
        self._type = browser_type
        self.wire = wire
        self._profile = profile
        self.complaints: list[str] = []
        self.now = PHONE_NOW
        self.page: Page

    def start(self, *, flags=(), script="", offline=False):
        """Turn it on; with `offline` it has no signal from the first moment."""
        self._context = self._type.launch_persistent_context(
            self._profile,
            executable_path=chromium.program_or_skip(),
            args=[*chromium.FLAGS, *flags],
            base_url=self.wire.url,
            timezone_id=ZONE,
            reduced_motion="reduce",
            **chromium.PHONE,
        )
        self._context.set_default_timeout(PAGE_LIVES_FOR_S * 1000)
        self._context.set_offline(offline)
        # An hour of a person's day may pass between one start and the next.
        self._context.clock.install(time=self.now)
        if script:
            self._context.add_init_script(script)
        self.page = self.watched(self._context.pages[0])
        return self.page

    def watched(self, page):
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", self._hear)
        return page

    def _hear(self, message):
        if "Content Security Policy" in message.text:
            self.complaints.append(message.text)

    def another_tab(self, address=SHELL):
        page = self.watched(self._context.new_page())
        page.goto(address)
        return page

    @property
    def context(self):
        return self._context

    def open(self, address=SHELL):
        self.page.goto(address)
        return self.page

    def offline(self, away=True):
        self._context.set_offline(away)

    def kill(self):
        """End the browser's own process at once, as a phone that runs out of power does."""
        processes = self._processes()
        assert processes, "no browser runs on this profile"
        for process in processes:
            os.kill(process, signal.SIGKILL)
        gone = time.monotonic() + PAGE_LIVES_FOR_S
        while self._processes():
            assert time.monotonic() < gone, "the browser outlives its end"
            time.sleep(0.02)
        self.stop()

    def stop(self):
        with contextlib.suppress(Error):
            self._context.close()

    def _processes(self):
        """Return the browser itself, and the shell that started it where it waits for its end."""
        wanted = f"--user-data-dir={self._profile}"
        found = []
        for folder in Path("/proc").glob("[0-9]*"):
            with contextlib.suppress(OSError):
                words = (folder / "cmdline").read_bytes().decode().split("\0")
                # Its helpers carry the folder too, and say what they are.
                if wanted in words and not any(word.startswith("--type=") for word in words):
                    found.append(int(folder.name))
        return found


# ---------- What a person does with it ----------


def link_of(person, by):
    return make_link(person, made_by=by, good_until=CAUGHT_ON + timedelta(days=200), now=NOW)


def sign_in_by_link(pocket, token):
    pocket.open(reverse("accounts:this_is_me", args=[token]))
    press(pocket.page, "This is me")
    expect(pocket.page.locator("#party-head")).to_be_visible()
    kept(pocket.page)


def kept(page):
    """Wait until the page and all its files are on the phone."""
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")


def sign_in_by_session(pocket, person):
    pocket.context.add_cookies([session_cookie(person, pocket.wire.url)])
    pocket.open("/ramp/")
    # A phone goes on to the app by itself.
    pocket.page.wait_for_url(f"**{SHELL}*")
    expect(pocket.page.locator("#party-head")).to_be_visible()
    kept(pocket.page)


def paste_link(page, token):
    page.get_by_label("Personal link").fill(f"Your link: https://old.example/me/{token}/ Keep it.")
    press(page, "This is me")


def open_party(page, arm="Brindle", *, reach=""):
    page.get_by_label("Arm").select_option(arm)
    page.get_by_label("Reach").select_option(reach)
    page.locator("#party-save").tap()
    expect(page.locator("#saved")).to_contain_text(f"{arm}: the ")


def tap_twice(page, place):
    """Tap at one spot and again before anybody can have looked."""
    place.scroll_into_view_if_needed()
    box = place.bounding_box()
    spot = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.touchscreen.tap(*spot)
    page.wait_for_timeout(SECOND_TAP_MS)
    page.touchscreen.tap(*spot)


def deliberately(page):
    """Let so much time pass that the next tap at the same spot is no second one."""
    page.clock.fast_forward(NEXT_TAP_MS)


def type_length(page, keys):
    """Type with the keys of a phone; ``<`` takes back, ``[`` moves the caret to the left."""
    field = page.locator("#fish-length")
    field.tap()
    for key in keys:
        if key == "<":
            field.press("Backspace")
        elif key == "[":
            field.press("ArrowLeft")
        else:
            field.press_sequentially(key)
    return field


def log(page, length, *, sex="Female", species=None, vial=None, said="Saved "):
    """Type one fish as it lies on the board; wait until the page says it is saved."""
    if vial is not None:
        page.locator("#fish-vial").fill(vial)
    if species:
        page.locator("#fish-species").get_by_role("radio", name=species, exact=True).tap()
    page.locator("#fish-length").fill(length)
    page.locator("#fish-sex").get_by_role("radio", name=sex, exact=True).tap()
    page.locator("#fish-save").tap()
    if said:
        # For example "Saved 26 0001 8", and below it "9.4 in, female, White crappie".
        expect(page.locator("#saved")).to_contain_text(said)
        expect(page.locator("#saved")).to_contain_text(f"{length} in,")


SEXES = ["Female", "Male", "Not known"]


SPECIES = {0: "White crappie", 20: "Black crappie"}  # it stays until another is chosen


def log_all(page, lengths):
    for place, length in enumerate(lengths):
        log(page, length, sex=SEXES[place % 3], species=SPECIES.get(place))


def rows():
    """Return the fish that the office has, by their numbers: vial, length, sex."""
    fish = Fish.objects.filter(withdrawn=False).order_by("vial__number")
    return list(fish.values_list("vial__number", "length_as_measured", "sex"))


def wake(page):
    """What a phone does when it finds a network, or is taken out of the pocket."""
    page.evaluate("window.dispatchEvent(new Event('online'))")


def here(page, count):
    expect(page.locator("#count-here")).to_have_text(str(count))


def sent(page, count):
    expect(page.locator("#count-sent")).to_have_text(str(count))


def need_look(page, count):
    expect(page.locator("#count-look")).to_have_text(str(count))


def signal_says(page, words):
    expect(page.locator("#signal")).to_have_text(words)


def told_at(minutes):
    return datetime.fromtimestamp(PHONE_NOW.timestamp() + 60 * minutes, UTC)


def later(pocket, hours):
    """Put the phone's clock forward."""
    pocket.context.clock.fast_forward(hours * HOUR_MS)


def all_sent(page):
    """Wait until corrections and the like have arrived too, which the counts of fish leave out."""
    expect(page.locator("#signal-more")).to_have_text("All sent.")


def heading(page, words):
    expect(page.get_by_role("heading", level=1, name=words)).to_be_visible()


def row(page, number):
    return page.locator("#trip-fish > li").filter(has_text=number)


def act(page, number, words):
    """Open the row of a fish and press one of its buttons."""
    if row(page, number).locator("details").get_attribute("open") is None:
        look_first(page)
        row(page, number).locator("summary").tap()
    press(page, f"{words} {number}", within=row(page, number))
