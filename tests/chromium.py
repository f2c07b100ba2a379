"""A real browser for tests: where to find it, how to open a phone and a desk in it.

Chromium on a desk proves nothing about a phone from another maker; it proves that our own
pages and scripts do what they should in a window of that size, with a finger.
"""

import os
import shutil
from importlib import resources
from typing import Any

import pytest

# The first is Chromium without the windows around a page, which tests never look at: it lays out,
# paints and runs the same, and takes a third less of the machine.
PROGRAMS = (
    *("chromium-headless-shell", "chromium", "chromium-browser"),
    *("google-chrome", "google-chrome-stable", "chrome"),
)
HOW_TO_GET_IT = (
    "Install Chromium to run the browser tests (Debian: apt-get install chromium-headless-shell; "
    "Ubuntu: apt-get install chromium), or name it in EARSTONE_BROWSER."
)
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # A phone's browser has none of these, and a start takes a third less without them.
    "--disable-extensions",
    "--disable-component-extensions-with-background-pages",
    "--disable-default-apps",
]
PHONE: dict[str, Any] = {
    "viewport": {"width": 360, "height": 740},
    "device_scale_factor": 2,
    "is_mobile": True,
    "has_touch": True,
}
# A phone whose browser keeps no app: the pages that the server makes are all it has.
PHONE_WITHOUT_APP: dict[str, Any] = PHONE | {"service_workers": "block"}
DESK: dict[str, Any] = {"viewport": {"width": 1280, "height": 800}}
# What axe-core calls WCAG 2.2 at level AA, and everything below it.
RULE_SETS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def program() -> str | None:
    """Return the path of a Chromium on this machine, or None."""
    named = os.environ.get("EARSTONE_BROWSER")
    if named:
        return named
    found = (shutil.which(name) for name in PROGRAMS)
    return next((path for path in found if path), None)


def program_or_skip() -> str:
    """Return the path of a Chromium; skip the test without one, and fail it under CI."""
    path = program()
    if path is not None:
        return path
    if os.environ.get("CI"):
        pytest.fail(HOW_TO_GET_IT)
    pytest.skip(HOW_TO_GET_IT)


def barriers(page: Any, *, in_color: bool = True) -> list[str]:
    """Run axe-core on the open page and return a line for each barrier it finds.

    The script comes in through the debugger, which the page's own policy does not govern:
    what is checked is the page as a person gets it, policy and all. The contrast of colors takes
    most of the time.
    """
    only = {"type": "tag", "values": RULE_SETS}
    return _axe(page, only, {} if in_color else {"color-contrast": {"enabled": False}})


def contrast_missing(page: Any) -> list[str]:
    """Run of axe-core only what depends on the colours of the page."""
    return _axe(page, {"type": "rule", "values": ["color-contrast"]})


def _axe(page: Any, run_only: dict[str, Any], rules: dict[str, Any] | None = None) -> list[str]:
    if page.evaluate("typeof axe") == "undefined":
        source = resources.files("axe_playwright_python").joinpath("axe.min.js")
        page.evaluate(source.read_text(encoding="utf-8"))
    # All that is wrong, and of what is right no list: to name each place takes a fifth of the time.
    options = {"runOnly": run_only, "rules": rules or {}, "resultTypes": ["violations"]}
    answer = page.evaluate("options => axe.run(document, options)", options)
    return [
        f"{found['id']} ({found['impact']}): {found['help']}: "
        + ", ".join(str(node["target"][0]) for node in found["nodes"][:5])
        for found in answer["violations"]
    ]
