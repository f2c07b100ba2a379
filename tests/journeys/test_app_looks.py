"""Every state of the app as a machine can judge it: barriers, sizes, distances, large text."""

import pytest
from django.http import HttpResponse
from django.urls import reverse
from playwright.sync_api import expect

from samples.accounts.links import revoke_link
from samples.models import Vial
from samples.ramp import api
from tests.journeys.hands import choose, look_first, press, sees
from tests.journeys.looks import CHECKS, faults_of, none_of
from tests.journeys.pocket import (
    SHELL,
    kept,
    link_of,
    log,
    need_look,
    open_party,
    paste_link,
    sent,
    sign_in_by_link,
    sign_in_by_session,
    signal_says,
    wake,
)
from tests.people import INCH, NOW
from tests.targets.pages import want

pytestmark = pytest.mark.browser

CAMERA = """
window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["qr_code"]; }
  async detect() { return []; }
};
"""
FLAGS = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
# As somebody has it who set the phone's letters to twice their size.
LARGE = "--blink-settings=defaultFontSize=32"

# What a thumb can hit: large enough, and 8 px from the next. A link inside a sentence is let
# off, as in WCAG 2.5.8; so are bars that stay over the page, which are not beside it.
THUMBS = r"""() => {
  const bad = [];
  const words = el => (el.innerText || el.getAttribute('aria-label') || el.id).trim().slice(0, 24);
  const inSentence = el => el.matches('a:not(.button)') && el.closest('p');
  const top = document.querySelector('dialog[open], [popover]:popover-open') ?? document.body;
  const folded = el => el.closest('details:not([open]) > :not(summary)');
  const all = [...top.querySelectorAll('a[href], button, summary, .choice-face, .box')]
    .filter(el => el.checkVisibility() && !inSentence(el) && !folded(el)
      && !el.closest('.skip, .save-bar, .correcting') && el.getBoundingClientRect().bottom > 0);
  const boxes = all.map(el => [el, el.getBoundingClientRect()]);
  for (const [el, box] of boxes)
    if (box.height < 47.9 || box.width < 47.9)
      bad.push(`${Math.round(box.width)} x ${Math.round(box.height)} px: ${words(el)}`);
  boxes.forEach(([one, a], at) => {
    for (const [other, b] of boxes.slice(at + 1)) {
      if (one.contains(other) || other.contains(one)) continue;
      const across = Math.max(a.left - b.right, b.left - a.right, 0);
      const down = Math.max(a.top - b.bottom, b.top - a.bottom, 0);
      const apart = Math.hypot(across, down);
      if (apart < 7.9) bad.push(`${apart.toFixed(1)} px apart: ${words(one)} | ${words(other)}`);
    }
  });
  return bad;
}"""


def test_what_a_thumb_would_miss_is_found(phone):
    phone.set_content("""<!DOCTYPE html><title>Near</title><meta name=viewport
      content="width=device-width"><button style="width:60px;height:60px">One</button><button
      style="width:60px;height:60px">Two</button><p>In a <a href="/">sentence</a></p>""")
    near = phone.evaluate(THUMBS)
    phone.set_content("<!DOCTYPE html><button>Low</button>")
    low = phone.evaluate(THUMBS)

    assert [line.split(" px")[1] for line in near] == [" apart: One | Two"]
    assert [line.split(" px")[1] for line in low] == [": Low"]


class Looks:
    """Looks at each state that a walk comes to, and keeps what is wrong with it."""

    def __init__(self, *, large):
        self.large, self.found = large, {}

    def __call__(self, page, name):
        assert page.viewport_size is not None
        width = page.viewport_size["width"]
        if self.large:
            assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "32px"
            faults = page.evaluate(CHECKS, width)
        else:
            before = page.evaluate("document.documentElement.dataset.scheme")
            faults = faults_of(page)
            page.evaluate("scheme => { document.documentElement.dataset.scheme = scheme; }", before)
        assert name not in self.found
        self.found[name] = faults + page.evaluate(THUMBS)


@pytest.fixture(params=[False, True], ids=["as it comes", "large text"])
def look(request):
    looks = Looks(large=request.param)
    yield looks
    assert len(looks.found) > 5
    none_of(looks.found)


@pytest.fixture
def start(pocket, look):
    def turn_on():
        return pocket.start(flags=[*FLAGS, *([LARGE] if look.large else [])], script=CAMERA)

    return turn_on


@pytest.fixture
def set_up(lake, season, white, brindle):
    """Let the lake have an office, a permit and something that is still needed."""
    lake.office_phone, lake.office_address = "605-555-0142", "12 Dock Road"
    lake.save()
    season.permit_number = "26-114"
    season.save()
    want(season, white, 8, 2, arm=brindle)


def test_the_guides_app(start, look, pocket, guide, biologist, thirty, white, set_up, monkeypatch):
    page = start()
    page.goto(SHELL)
    kept(page)
    look(page, "nobody is signed in")
    press(page, "This is me")
    look(page, "no link")
    page.goto(f"/V/{thirty[0].number}")
    expect(page.locator("#vial-shown")).to_be_visible()
    look(page, "a vial, and nobody")
    link = link_of(guide, biologist)
    sign_in_by_link(pocket, link.token)
    look(page, "party")
    press(page, "Start trip")
    sees(page, "Choose an arm.")
    look(page, "party, errors")
    page.get_by_label("Date caught").fill("2026-06-06")
    page.get_by_label("Arm").select_option("Brindle")
    page.get_by_label("How the fish were chosen").select_option("every_nth")
    page.get_by_label("Sampling interval").fill("2")
    press(page, "Start trip")
    sees(page, "The date is after today.")
    look(page, "party, question")
    page.get_by_label("Date caught").fill("2026-05-06")
    open_party(page, reach="Lower")

    look(page, "no fish yet")
    page.locator("#fish-vial").fill("")
    press(page, "Save fish")
    sees(page, "Enter length in inches, such as 10.1.")
    look(page, "fish, errors")
    page.locator("#fish-vial").fill(thirty[0].number)
    page.locator("#fish-length").press_sequentially("194")
    choose(page, "Species", "White crappie")
    choose(page, "Sex", "Female")
    page.locator("summary", has_text="More about this fish").tap()
    page.get_by_label("Spines counted").fill("9")
    page.locator("#fish-length").fill("24.0")
    press(page, "Save fish")
    sees(page, "Is the species right?")
    look(page, "fish, questions")
    page.get_by_label("Spines counted").fill("6")
    press(page, "Spines: 6")
    expect(page.get_by_role("dialog")).to_be_visible()
    look(page, "spines")
    press(page, "Back to the form")
    press(page, "Scan")
    expect(page.get_by_role("dialog")).to_be_visible()
    look(page, "scanner")
    press(page, "Back to the form")
    page.locator("#fish-photo").set_input_files(
        {"name": "fish.jpg", "mimeType": "image/jpeg", "buffer": b"no photo"}
    )
    expect(page.locator("#photo-state")).to_contain_text("can't be read as a photo")
    look(page, "photo, refused")
    pocket.offline()
    log(page, "9.4")
    log(page, "14.2")
    log(page, "10.6", sex="Not known")
    signal_says(page, "Offline.")
    look(page, "fish, without signal")
    press(page, "Correct 26 0001 8")
    look(page, "correcting")
    press(page, "Cancel")
    press(page, "What is on this phone", role="link")
    look(page, "waiting")
    press(page, "Back to the fish", role="link")
    press(page, "Vials are off by one", role="link")
    press(page, "Move them")
    sees(page, "Choose the next vial")
    look(page, "shift")
    press(page, "Cancel", role="link")
    press(page, "End trip", role="link")
    page.get_by_label("Filled vials").fill("5")
    page.get_by_label("Last vial").fill("0026")
    press(page, "End trip")
    sees(page, "5 in hand, but 3 logged")
    look(page, "close, question")
    press(page, "Show the fish")
    look_first(page)
    page.locator("#trip-fish summary").first.tap()
    look(page, "trip")
    press(page, "Delete 26 0003 4")
    expect(
        page.locator("#trip-fish").get_by_role("button", name="Put back 26 0003 4")
    ).to_be_visible()
    look(page, "trip, deleted")
    press(page, "Change trip", role="link")
    look(page, "party, change")
    page.get_by_label("Arm").select_option("Cutbank")
    press(page, "Save the change")
    sees(page, "Cutbank instead of Brindle?")
    look(page, "party, moved")
    press(page, "Cancel", role="link")
    page.goto("/ramp/mine/")
    expect(page.locator("#mine-none")).to_be_visible()
    look(page, "my fish, without signal")
    press(page, "Still needed", role="link")
    expect(page.get_by_role("heading", name="Brindle")).to_be_visible()
    look(page, "still needed")
    press(page, "Help", role="link")
    expect(page.get_by_role("link", name="Call 605-555-0142")).to_be_visible()
    look(page, "help")
    page.goto(reverse("accounts:this_is_me", args=[link.token]))
    expect(page.locator("#away-head")).to_be_visible()
    look(page, "away")
    press(page, "Log fish", role="link")

    white.plausible_max_hundredths_mm = 13 * INCH
    white.save()
    pocket.offline(False)
    wake(page)
    need_look(page, 1)
    page.locator("#party-bar").tap()
    look(page, "trip, to fix")
    page.locator("#count-look a").tap()
    look(page, "needs a look")
    press(page, "Fix")
    look(page, "put right")
    press(page, "Cancel")
    revoke_link(link.link, now=NOW)
    press(page, "Back to the fish", role="link")
    log(page, "8.8")
    expect(page.locator("#notice-link")).to_be_visible()
    look(page, "the link is needed")
    press(page, "Paste the link", role="link")
    look(page, "another person")
    monkeypatch.setattr(api.OutboxView, "post", lambda *_: HttpResponse(status=503))
    paste_link(page, link_of(guide, biologist).token)
    signal_says(page, "Online,")
    press(page, "Dark screen")
    look(page, "no way to the office, dark")
    pocket.context.clock.fast_forward(24 * 60 * 60 * 1000)
    wake(page)
    expect(page.locator("#day-head")).to_be_visible()
    look(page, "a new day, dark")
    press(page, "End the trip of May 6", role="link")
    page.get_by_label("Filled vials").fill("3")
    press(page, "End trip")
    press(page, "End trip anyway")
    expect(page.locator("#earlier li")).to_have_count(1)
    look(page, "party, after a trip")
    page.locator("#earlier .button").tap()
    sees(page, "Reopen trip")
    look(page, "trip, ended")


def test_the_clerks_app(start, look, pocket, clerk, vials):
    Vial.objects.update(state=Vial.State.ISSUED, issued_to=clerk)
    page = start()
    sign_in_by_session(pocket, clerk)
    page.locator("summary", has_text="Nets").tap()
    look(page, "party")
    page.get_by_label("Interview key").fill("K-17")
    page.get_by_label("Net nights").fill("0")
    page.get_by_label("Arm").select_option("Brindle")
    press(page, "Start interview")
    sees(page, "Enter a whole number from 1 to 60, such as 2.")
    look(page, "party, errors")
    page.get_by_label("Net nights").fill("2")
    open_party(page)
    look(page, "no fish yet")
    choose(page, "Vial or no vial", "No vial")
    log(page, "9.2", species="White crappie", said="Saved (no vial)")
    sent(page, 1)
    look(page, "a fish without a vial")
    press(page, "Count unmeasured", role="link")
    press(page, "Save the count")
    sees(page, "Choose a species.")
    look(page, "count, errors")
    choose(page, "Species", "Black crappie")
    page.get_by_role("textbox", name="How many").fill("4")
    press(page, "Save the count")
    sees(page, "4 Black crappie counted.")
    expect(page.get_by_role("button", name="Undo 4 Black crappie")).to_be_visible()
    look(page, "count")
    press(page, "Back to the fish", role="link")
    press(page, "Next interview", role="link")
    look(page, "next interview")
