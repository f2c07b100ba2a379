"""Every text and edge in tokens.css can be told from its ground, in each scheme.

Bars: text 4.5 (7 in daylight), edges and marks that carry meaning 3 (4.5 in daylight); the
measure is the contrast ratio of WCAG 2.2, success criteria 1.4.3, 1.4.6 and 1.4.11.
"""

import pathlib
import re

import pytest

TOKENS = pathlib.Path(__file__).resolve().parent.parent / "samples/static/samples/tokens.css"
TEXT = [
    ("ink", "page"), ("ink", "sheet"), ("ink", "shade"),
    ("ink-soft", "page"), ("ink-soft", "sheet"), ("ink-soft", "shade"),
    ("ink-on-ink", "ink"), ("ink-on-ink", "missing"), ("next-ink", "next"),
]  # fmt: skip
MARKS = [
    ("edge", "page"), ("edge", "sheet"), ("edge", "shade"),
    ("focus", "page"), ("focus", "sheet"), ("focus", "shade"),
    ("next-edge", "page"), ("next-edge", "sheet"),
    ("missing", "sheet"), ("missing", "aged"), ("ring", "aged"), ("ring", "sheet"),
]  # fmt: skip
TEXT_BAR = {"light": 4.5, "dark": 4.5, "daylight": 7.0}
MARK_BAR = {"light": 3.0, "dark": 3.0, "daylight": 4.5}


def luminance(colour):
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def colours_after(css, opening):
    start = css.index(opening) + len(opening)
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})\b", css[start : css.index("}", start)]))


@pytest.fixture(scope="module")
def css():
    return TOKENS.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def schemes(css):
    light = colours_after(css, "\n:root {")
    return {
        "light": light,
        "dark": light | colours_after(css, ':root[data-scheme="dark"] {'),
        "daylight": light | colours_after(css, ':root[data-scheme="daylight"] {'),
    }


def test_the_measure_itself():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_dark_is_the_same_asked_for_or_chosen(css):
    asked = colours_after(css, ":root:not([data-scheme]) {")

    assert asked
    assert asked == colours_after(css, ':root[data-scheme="dark"] {')


@pytest.mark.parametrize("scheme", TEXT_BAR)
@pytest.mark.parametrize(("front", "ground"), TEXT)
def test_text_can_be_read(schemes, scheme, front, ground):
    colours = schemes[scheme]

    assert contrast(colours[front], colours[ground]) >= TEXT_BAR[scheme]


@pytest.mark.parametrize("scheme", MARK_BAR)
@pytest.mark.parametrize(("front", "ground"), MARKS)
def test_marks_can_be_seen(schemes, scheme, front, ground):
    colours = schemes[scheme]

    assert contrast(colours[front], colours[ground]) >= MARK_BAR[scheme]
