"""Take the pictures of the README from the demo: python -m tests.screenshots

Everything is done on a copy of the demo's database, through the pages, as people do it.
"""

import os
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import django
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from tests import chromium

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "docs"
LAKE = "/lakes/lake-orrinbeck"
BIOLOGIST, GUIDE = "aubrey", "I. Talvik"
CAUGHT = [("9.4", "Female"), ("10.1", "Female"), ("8.7", "Male")]
BEING_TYPED = "9.8"
MOST_BYTES = 200_000
COLOURS = (256, 128, 64, 32)
PATIENCE_S = 30


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def manage(*words: str) -> list[str]:
    return [sys.executable, str(ROOT / "manage.py"), *words]


def copy_database(original: Path, copy: Path) -> None:
    """Copy what is in the database, also what its log has not written back yet."""
    with closing(sqlite3.connect(original)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)


@contextmanager
def demo_served(folder: Path) -> Iterator[tuple[str, str]]:
    """Load the demo unless it is there, serve a copy of it, and give its address and password."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fisheries.settings")
    django.setup()
    from samples.management.commands import demo

    subprocess.run(manage("demo", "--no-serve"), check=True, stdout=subprocess.DEVNULL)
    copy, port = folder / "demo.sqlite3", free_port()
    copy_database(demo.DATABASE, copy)
    server = subprocess.Popen(
        manage("runserver", f"127.0.0.1:{port}", "--noreload"),
        env=demo.environment_for("localhost", port, copy),
        stderr=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
    )
    try:
        address = f"http://localhost:{port}"
        wait_for(f"{address}/healthy/")
        yield address, demo.PASSWORD
    finally:
        server.terminate()
        server.wait()


def wait_for(address: str) -> None:
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            urllib.request.urlopen(address)  # noqa: S310 - our own
        except (urllib.error.URLError, ConnectionError):
            if time.monotonic() > until:
                raise
            time.sleep(0.2)
        else:
            return


def sign_in(page: Page, password: str) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Sign-in name").fill(BIOLOGIST)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url(f"**{LAKE}/")


def make_link(page: Page) -> str:
    page.goto(f"{LAKE}/people/")
    page.get_by_role("link", name=GUIDE).first.click()
    page.get_by_role("button", name="Make a link").click()
    return page.locator(".link-words a").get_attribute("href") or ""


def log_fish(page: Page, link: str) -> None:
    """Start a trip by the guide's link and log the last fish of a morning."""
    page.goto(link)
    page.get_by_role("button", name="This is me").click()
    page.get_by_label("Arm").select_option("Brindle")
    # The trip before was in another arm, and its reach is offered again.
    page.get_by_label("Reach").select_option("")
    page.get_by_role("button", name="Start trip").click()
    for length, sex in CAUGHT:
        page.get_by_role("radio", name="White crappie").check()
        page.get_by_label("Total length").fill(length)
        page.get_by_role("radio", name=sex, exact=True).check()
        page.get_by_role("button", name="Save fish").click()
    page.get_by_label("Total length").fill(BEING_TYPED)
    page.get_by_label("Total length").blur()


def take(page: Page, name: str) -> None:
    """Save what stands on the screen, light enough to be kept."""
    path = PICTURES / name
    page.screenshot(path=path, animations="disabled", scale="css")
    whole = Image.open(path).convert("RGB")
    for colours in COLOURS:
        whole.quantize(colours, dither=Image.Dither.NONE).save(path, optimize=True)
        if path.stat().st_size < MOST_BYTES:
            break
    print(f"{path.relative_to(ROOT)}: {path.stat().st_size // 1000} kB")


def take_all(browser: Browser, address: str, password: str) -> None:
    desk = browser.new_context(base_url=address, **chromium.DESK).new_page()
    sign_in(desk, password)
    desk.goto(f"{LAKE}/coverage/")
    take(desk, "coverage-desk.png")
    desk.goto(f"{LAKE}/labels/")
    take(desk, "labels-desk.png")
    link = make_link(desk)
    phone = browser.new_context(base_url=address, **chromium.PHONE).new_page()
    log_fish(phone, link)
    take(phone, "ramp-phone.png")


def main() -> int:
    path = chromium.program()
    if path is None:
        print(chromium.HOW_TO_GET_IT)
        return 1
    PICTURES.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory(prefix="earstone-pictures-") as folder,
        demo_served(Path(folder)) as (address, password),
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=path, args=chromium.FLAGS)
        take_all(browser, address, password)
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
