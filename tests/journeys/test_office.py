"""The office: labels are printed, handed out, come back, and what does not fit is settled."""

from datetime import date

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import expect

from samples.models import Fish, HeldEntry, Vial
from samples.rules import vial_number
from samples.rules.vial_number import grouped
from tests.chromium import DESK, PHONE_WITHOUT_APP
from tests.journeys.hands import choose, headed, press, sees, write

pytestmark = pytest.mark.browser

PUBLIC_ADDRESS = "https://earstone.example"
PASSWORD = "under the scope"
LABELS = 24
DOTS_PER_INCH = 600
NUMBERS = [vial_number.make(2026, sequence, 4) for sequence in range(1, LABELS + 1)]


@pytest.fixture
def known_address(settings):
    settings.PUBLIC_ADDRESS = PUBLIC_ADDRESS


def sign_in(page, person):
    person.set_password(PASSWORD)
    person.save()
    page.goto("/")
    headed(page, "Sign in")
    write(page, "Sign-in name", person.username)
    write(page, "Password", PASSWORD)
    press(page, "Sign in")
    expect(page.locator(".drop > summary")).to_contain_text(person.display_name)


def make_run(page):
    """Make a run of labels and give its PDF as it was saved."""
    press(page, "Vials", role="link")
    press(page, "Print labels", role="link")
    write(page, "How many", str(LABELS))
    press(page, "Preview sheets")
    sees(page, f"{grouped(NUMBERS[0])} to {grouped(NUMBERS[-1])}")
    press(page, f"Make {LABELS} labels")
    headed(page, f"{LABELS} labels, {grouped(NUMBERS[0])} to {grouped(NUMBERS[-1])}")
    with page.expect_download() as saved:
        press(page, "Download PDF", role="link")
    return saved.value.path().read_bytes()


def symbols_on(pdf):
    """Print each page and read every symbol on it back, as a phone's camera would."""
    pages = [page.render(scale=DOTS_PER_INCH / 72) for page in pypdfium2.PdfDocument(pdf)]
    pictures = [page.to_pil().convert("L") for page in pages]
    return [symbol.text for picture in pictures for symbol in zxingcpp.read_barcodes(picture)]


def issue_all(page, person):
    press(page, "Vials", role="link")
    press(page, "Issue vials", role="link")
    page.get_by_label("To", exact=True).select_option(label=person.display_name)
    expect(page.get_by_label("First number")).to_have_value(grouped(NUMBERS[0]))
    write(page, "How many", str(LABELS))
    press(page, "Issue vials")
    sees(page, f"{LABELS} vials issued to {person.display_name}")


def log_two_fish_in_one_vial(page):
    """The second fish finds its vial taken: it waits for the office."""
    page.goto("/ramp/")
    page.get_by_label("Arm").select_option("Brindle")
    press(page, "Start trip")
    for number, length in [(NUMBERS[0], "9.4"), (NUMBERS[1], "10.2"), (NUMBERS[1], "12.6")]:
        write(page, "Vial", number)
        choose(page, "Species", "White crappie")
        write(page, "Total length", length)
        choose(page, "Sex", "Female")
        press(page, "Save fish")
    press(page, "Send it to the office")
    sees(page, "The office will check this one.")


def receive_two(page):
    """One number is typed; for the other a scanner types the whole link and Enter."""
    press(page, "Lab", role="link")
    expect(page.get_by_label("Vial number")).to_be_focused()
    write(page, "Vial number", NUMBERS[0])
    choose(page, "Inside", "Two otoliths")
    press(page, "Receive vial")
    sees(page, f"{grouped(NUMBERS[0])} received, two otoliths.")
    expect(page.get_by_label("Vial number")).to_be_focused()
    page.keyboard.type(f"HTTPS://EARSTONE.EXAMPLE/V/{NUMBERS[1]}")
    page.keyboard.press("Enter")
    sees(page, f"{grouped(NUMBERS[1])} received, two otoliths.")


def settle(page):
    press(page, "Today", role="link")
    press(page, "Entries to resolve", role="link")
    headed(page, "1 entry to resolve")
    press(page, f"Resolve {grouped(NUMBERS[1])}", role="link")
    sees(page, "12.6")
    sees(page, "10.2")
    write(page, "Vial for this fish", grouped(NUMBERS[2]))
    press(page, "Save fish with this number")
    sees(page, "Resolved. The original entry stays on record.")
    headed(page, "No entries to resolve")


def find_by_keyboard(page):
    """A slash goes to the search box, but not out of a field; Escape closes a menu."""
    page.keyboard.press("/")
    expect(page.get_by_role("searchbox")).to_be_focused()
    page.keyboard.type(grouped(NUMBERS[0]))
    page.keyboard.press("Enter")
    headed(page, f"Vial {grouped(NUMBERS[0])}")
    press(page, "Lab", role="link")
    write(page, "Vial number", "")
    page.keyboard.press("/")
    expect(page.get_by_label("Vial number")).to_have_value("/")
    menu = page.locator(".drop > summary")
    menu.click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("button", name="Sign out")).not_to_be_visible()
    expect(menu).to_be_focused()


def test_a_run_from_the_printer_back_to_the_office(open_page, office, guide, season, known_address):
    desk = open_page(DESK)

    sign_in(desk, office)
    printed = symbols_on(make_run(desk))
    assert sorted(link.partition("/V/")[2] for link in printed) == NUMBERS
    assert {link.partition("/V/")[0].lower() for link in printed} == {PUBLIC_ADDRESS}

    issue_all(desk, guide)
    assert set(Vial.objects.values_list("state", "issued_to")) == {("issued", guide.pk)}

    log_two_fish_in_one_vial(open_page(PHONE_WITHOUT_APP, user=guide))
    receive_two(desk)
    settle(desk)
    find_by_keyboard(desk)

    fish = Fish.objects.order_by("vial__number")
    assert list(fish.values_list("vial__number", "length_as_measured", "logged_by")) == [
        (NUMBERS[0], "9.4", guide.pk),
        (NUMBERS[1], "10.2", guide.pk),
        (NUMBERS[2], "12.6", guide.pk),
    ]
    received = Vial.objects.filter(received_by=office).order_by("number")
    assert list(received.values_list("number", "content")) == [
        (NUMBERS[0], "two"),
        (NUMBERS[1], "two"),
    ]
    held = HeldEntry.objects.get()
    assert (held.state, held.settled_how, held.settled_by) == ("settled", "other_number", office)
    assert {one.caught_on for one in fish} == {date(2026, 5, 6)}


def test_a_wrong_password_lets_nobody_in(desk, office):
    desk.goto("/lakes/lake-orrinbeck/labels/")
    write(desk, "Sign-in name", office.username)
    write(desk, "Password", "cloudy vial")
    press(desk, "Sign in")

    expect(desk.locator(".errors")).to_contain_text("Wrong name or password.")
    expect(desk.get_by_label("Sign-in name")).to_have_value(office.username)
