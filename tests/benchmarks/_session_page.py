"""What a reading session costs: python -m tests.benchmarks._session_page ADDRESS [COUNT].

It signs in as the reader of a running demo, opens a session, reads COUNT otoliths (30) by keys as
fast as the page takes them, and prints the seconds from one otolith to the next: what the page
costs on top of looking and counting.
"""

import statistics
import sys
import time

from playwright.sync_api import expect, sync_playwright

from tests import chromium

KEYS = ["2", "Space", "3", "c", "Enter"]


def read_otoliths(page, count):
    """Read otoliths one after another and return the seconds of each."""
    seconds = []
    place = page.locator("[name=place]")
    for _ in range(count):
        expect(page.locator("#id_annuli")).to_be_focused()
        here, began = place.input_value(), time.monotonic()
        for key in KEYS:
            page.keyboard.press(key)
        page.wait_for_function(
            "here => document.querySelector('[name=place]')?.value !== here"
            " || document.querySelector('#questions')",
            arg=here,
        )
        if page.locator("#questions").count():
            page.keyboard.press("y")
            page.wait_for_function(
                "here => document.querySelector('[name=place]')?.value !== here", arg=here
            )
        seconds.append(time.monotonic() - began)
    return seconds


def main(address, count):
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium.program_or_skip(), args=chromium.FLAGS
        )
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(f"{address}/sign-in/")
        page.locator("button[name=role][value=reader]").click()
        page.get_by_role("link", name="Lab", exact=True).first.click()
        page.goto(page.url.split("/reading")[0] + "/reading-sessions/")
        page.locator("[name=count]").fill(str(count))
        page.get_by_role("button", name="Open session").click()
        page.get_by_role("link", name="Start reading").click()
        seconds = read_otoliths(page, count)
        browser.close()
    print(
        f"{len(seconds)} otoliths: median {statistics.median(seconds):.2f} s,"
        f" mean {statistics.mean(seconds):.2f} s, longest {max(seconds):.2f} s"
    )


if __name__ == "__main__":
    main(sys.argv[1].rstrip("/"), int(sys.argv[2]) if len(sys.argv) > 2 else 30)
