"""Figures as they stand in a page and as they are saved."""

import csv
import io
import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.findings.figures import as_png, as_svg, draw_figure
from samples.findings.figures.drawn import short_names
from samples.findings.figures.paths import area, line, simple
from samples.findings.figures.scale import Extent, make_scale
from samples.findings.page_model import Mark, Panel, Plot, Series
from samples.findings.presenters.plot_csv import plot_as_csv

SVG = "{http://www.w3.org/2000/svg}"
KINDS = ["line", "dash", "dotted", "soft", "dots", "small", "band", "bars", "discs"]
AREAS = ["clear", "shade", "ink"]


def plot_of(*series, **more):
    facts = {
        "name": 'Growth of "A" & B',
        "panels": [
            Panel("Brindle <east>", list(series), [Mark(9, "kept from here")], note="3 aged")
        ],
        "x_label": "Age, years",
        "y_label": "Total length, inches",
        "alt": 'Length & age, "three" fish.',
        "caption": "Dots are fish.",
    }
    return Plot(**(facts | more))


def corners_of(path):
    """Return the corners of a path: M and L say where one is, l how far the next ones are (SVG 2,
    9.3.3 and 9.3.4); a sign or a second point begins a new number (9.3.9).
    """
    corners: list[np.ndarray] = []
    for command, text in re.findall("([MLl])([^MLlZ]*)", path):
        numbers = [float(one) for one in re.findall(r"-?(?:\d+(?:\.\d+)?|\.\d+)", text)]
        for step in zip(numbers[::2], numbers[1::2], strict=True):
            corners.append(np.array(step) + (corners[-1] if command == "l" else 0))
    return np.array(corners)


def read(svg):
    return ET.fromstring(svg)  # noqa: S314 - drawn by us


def series(kind="dots", **more):
    facts = {"lower": [6.0, 8.0, 9.0], "upper": [8.0, 10.0, 11.0], "name": "mean"}
    facts |= {"size": [0.2, 0.5, 1.0]} if kind == "discs" else {}
    return Series(kind, [1.0, 2.0, 3.0], [7.0, 9.0, 10.0], **(facts | more))


def pictures(plot):
    """Return the panels of a plot as the page has them, read."""
    return [read(panel.svg) for panel in draw_figure(plot).panels]


def words_of(root):
    return [text.text for text in root.iter("text")]


def numbers_at(root, anchor):
    """Return what stands at an axis: numbers at the end of their ticks, or in their middle."""
    [axis] = [one for one in root.iter("g") if one.get("text-anchor") == anchor]
    return [one.text for one in axis]


class TestOnThePage:
    @pytest.mark.parametrize("kind", [*KINDS, *AREAS])
    def test_needs_no_style_and_names_no_color(self, kind):
        [panel] = draw_figure(plot_of(series(kind))).panels

        read(panel.svg)
        assert re.findall(r"style=|<style|fill=|#[0-9a-f]{6}|stroke=", panel.svg) == []
        assert (
            f'class="draw-{ {"soft": "other", "ink": "inked", "small": "dots"}.get(kind, kind) }"'
            in panel.svg
        )

    def test_each_panel_has_the_numbers_of_its_axes(self):
        panels = [Panel(name, [series()]) for name in "ABCDEFG"]

        for root in pictures(plot_of(panels=panels, whole_x=True)):
            assert numbers_at(root, "end") == ["0", "5", "10", "15"]
            assert numbers_at(root, "middle") == ["1", "2", "3"]

    def test_all_panels_are_on_one_scale(self):
        low, high = Panel("A", [series()]), Panel("B", [Series("line", [0.0, 8.0], [0.0, 40.0])])

        one, other = pictures(plot_of(panels=[low, high]))

        assert one.get("data-scale") == other.get("data-scale")

    def test_a_panel_says_the_sentence_of_its_group(self):
        says = 'Brindle: 9 "inches" & more <at age 3>.'
        panel = Panel("Brindle", [series()], says=says, answer="9 in")

        [root] = pictures(plot_of(panels=[panel]))

        assert root.get("role") == "img"
        assert root.get("aria-label") == says
        assert root.find("title") is None
        assert root.find("desc") is None

    def test_a_panel_without_a_sentence_says_where_its_numbers_go(self):
        [root] = pictures(plot_of(panels=[Panel("Brindle", [series()])]))

        assert root.get("aria-label").startswith("Brindle: ")
        assert re.findall(r"\d+", root.get("aria-label")) == ["7", "1", "10", "3"]

    def test_a_panel_whose_height_lies_between_its_ends_says_so(self):
        [root] = pictures(plot_of(Series("bars", [1.0, 2.0, 3.0], [4.0, 26.7, 5.0])))

        assert re.findall(r"[\d.]+\d|\d", root.get("aria-label")) == [
            "4", "1", "5", "3", "26.7", "2",
        ]  # fmt: skip

    def test_it_is_heard_from_its_first_value_to_its_last_however_wide_the_axis(self):
        lengths = Series("line", [0.5, 7.5, 8.5, 14.5, 16.5], [0.0, 4.0, 26.4, 0.2, 0.0])
        [root] = pictures(plot_of(panels=[Panel("Trap net", [lengths])]))

        said = re.findall(r"\d+(?:\.\d+)?", root.get("aria-label"))

        assert said == ["4", "7.5", "0.2", "14.5", "26.4", "8.5"]

    @pytest.mark.parametrize("name", [r"A\Bay \1 \g<0>", r"$\foo$ of $5 to $6", "<b>&"])
    def test_any_name_can_be_drawn(self, name):
        mark = Mark(9, "kept", tick=name)
        plot = plot_of(panels=[Panel(name, [series("line", label=name)], [mark])], x_label=name)

        [root] = pictures(plot)

        assert words_of(root).count(name) == 2
        assert as_png(replace(plot, alt=name)).startswith(b"\x89PNG")

    def test_labels_stand_beside_the_data_and_apart(self):
        ends = [Series("line", [0.0, 9.0], [0.0, top], label=f"to {top:g}") for top in (5.0, 5.1)]

        [root] = pictures(plot_of(*ends))
        # As far right as the axis goes: the lines end there.
        right = max(float(x) for x in re.findall(r"H([\d.]+)", root.find("path").get("d")))
        labels = [one for one in root.iter("text") if one.text.startswith("to ")]

        assert len(labels) == 2
        assert all(float(one.get("x")) > right for one in labels)
        tops = sorted(float(one.get("y")) for one in labels)
        assert tops[1] - tops[0] >= 13

    def test_a_thin_line_is_named_at_its_own_end_and_never_on_a_fish(self):
        """Of two lines of another arm that end half way, one ends among fish of this arm."""
        others = [
            Series("soft", [0.0, 4.0], [0.0, top], label=label)
            for top, label in ((3, "F"), (9, "B"))
        ]
        fish = Series("small", [4.5] * 9, [8.0 + at / 4 for at in range(9)])
        whole = Series("line", [0.0, 10.0], [0.0, 6.0])

        [root] = pictures(plot_of(*others, fish, whole))
        x_of = {one.text: float(one.get("x")) for one in root.iter("text") if one.text in "FB"}
        right = max(float(x) for x in re.findall(r"H([\d.]+)", root.find("path").get("d")))

        assert x_of["F"] < 0.6 * right
        assert x_of["B"] > right

    def test_the_tick_of_a_mark_takes_the_place_of_one_too_near(self):
        mark = Mark(10.2, "limit", tick="10.2")

        [root] = pictures(plot_of(panels=[Panel("A", [series()], [mark])]))

        assert "10.2" in numbers_at(root, "end")
        assert "10" not in numbers_at(root, "end")

    def test_numbers_of_the_last_tick_stay_inside_the_frame(self):
        """A digit of 13 px is 8.3 px wide in the widest face of the page's list, DejaVu Sans
        (advance width 1303 of 2048 units)."""
        years = Series("dots", [2020.0, 2022.0, 2024.0], [1.0, 1.2, 0.9])

        [root] = pictures(plot_of(years, whole_x=True))

        [axis] = [one for one in root.iter("g") if one.get("text-anchor") == "middle"]
        wide = float(root.get("viewBox").split()[2])
        last = max(axis, key=lambda one: float(one.get("x")))
        assert float(last.get("x")) + 8.3 * len(last.text) / 2 <= wide

    def test_the_key_names_each_kind_once(self):
        panels = [Panel(one, [series("dots"), series("band", name="sd")]) for one in "AB"]

        key = draw_figure(plot_of(panels=panels)).key

        assert [(one.style, one.name) for one in key] == [("dots", "mean"), ("band", "sd")]

    def test_few_panels_are_drawn_wide_for_a_desk_as_well(self):
        one, five = ([Panel(name, [series()]) for name in names] for names in ("A", "ABCDE"))

        [alone] = draw_figure(plot_of(panels=one)).panels

        assert float(read(alone.wide_svg).get("viewBox").split()[2]) > 700
        assert [panel.wide_svg for panel in draw_figure(plot_of(panels=five)).panels] == [""] * 5

    def test_of_many_points_a_sample_is_drawn_and_said_so(self):
        fish = [float(k) for k in range(4_000)]
        many = Series("small", fish, fish, keys=[str(k) for k in range(4_000)])
        plot = plot_of(many, series("dots"))

        figure = draw_figure(plot)

        [root] = [read(panel.svg) for panel in figure.panels]
        drawn = [line for line in root.iter("polyline") if "data-dots" in line.attrib]
        [keys] = [panel.keys for panel in figure.panels]
        # Three means are drawn whole, and each dot has its own fish.
        assert len(drawn[0].get("points").split()) == len(set(keys)) == 1_497
        assert "1,500 of 4,003" in figure.caption
        assert len(plot_as_csv(plot).splitlines()) == 1 + 4_003

    def test_three_thousand_fish_make_a_light_figure(self):
        fish = [float(k % 613) for k in range(3_000)]
        panels = [
            Panel(str(k), [Series("small", fish, fish[::-1], keys=[f"26000{k}"] * 3_000)])
            for k in range(5)
        ]

        figure = draw_figure(plot_of(panels=panels))

        assert sum(len(panel.svg) for panel in figure.panels) < 30_000

    def test_a_line_keeps_its_corners_and_loses_what_lies_on_it(self):
        straight = [(float(x), 2.0 * x) for x in range(50)]

        assert simple(straight) == [(0.0, 0.0), (49.0, 98.0)]
        assert simple([(0.0, 0.0), (5.0, 9.0), (10.0, 0.0)]) == [
            (0.0, 0.0),
            (5.0, 9.0),
            (10.0, 0.0),
        ]

    @given(st.lists(st.tuples(st.floats(-999, 999), st.floats(-999, 999)), min_size=2, max_size=30))
    def test_a_path_goes_through_its_corners_however_short_it_is_written(self, corners):
        kept = [(round(10 * x) / 10, round(10 * y) / 10) for x, y in simple(corners)]

        assert corners_of(line(corners)) == pytest.approx(np.array(kept), abs=1e-6)
        assert corners_of(area(corners, corners)) == pytest.approx(
            np.array(kept + kept[::-1]), abs=1e-6
        )

    @pytest.mark.parametrize(
        ("low", "high", "first", "step"),
        [(0.3, 14.2, 0, 5), (-80, 30, -100, 50), (2013, 2026, 2010, 5), (5, 5, 4.5, 0.5)],
    )
    def test_ticks_are_round_numbers(self, low, high, first, step):
        scale = make_scale(Extent(low, high), 0, 100, most=4, whole=False, to_ticks=True)

        assert scale.ticks == pytest.approx([first + k * step for k in range(len(scale.ticks))])
        assert scale.ticks[-1] >= high

    def test_names_are_told_apart_by_few_letters(self):
        assert short_names(["Brindle", "Hobbin"]) == {"Brindle": "B", "Hobbin": "H"}
        assert short_names(["Sallow", "Sedge", "Tarrow"]) == {
            "Sallow": "Sa",
            "Sedge": "Se",
            "Tarrow": "Ta",
        }


class TestSaved:
    @pytest.mark.parametrize("kind", [*KINDS, *AREAS])
    def test_an_svg_carries_colours_of_its_own(self, kind):
        svg = as_svg(plot_of(series(kind)))

        assert read(svg).tag == f"{SVG}svg"
        assert re.findall(r" style=|<style|var\(", svg) == []
        assert "#12212a" in svg

    def test_an_svg_says_its_name_and_once_what_it_shows(self):
        svg = as_svg(plot_of(series()))

        assert read(svg).find(f"{SVG}title").text == 'Growth of "A" & B'
        assert read(svg).find(f"{SVG}desc").text == 'Length & age, "three" fish.'
        assert svg.count("three") == 1

    def test_an_svg_keeps_its_words_as_words(self):
        words = " ".join(read(as_svg(plot_of(series()))).itertext())

        for one in ("Brindle <east>", "Age, years", "Total length, inches", "kept from here"):
            assert one in words

    def test_figures_drawn_at_once_come_out_as_if_one_by_one(self):
        plots = [plot_of(series(), name=f"Figure {number}") for number in range(8)]
        alone = [as_svg(plot) for plot in plots]

        with ThreadPoolExecutor(4) as threads:
            together = list(threads.map(as_svg, plots))

        assert together == alone

    def test_two_figures_on_a_page_share_no_name(self):
        one, other = (as_svg(plot_of(series(), name=name)) for name in ("Growth", "Deaths"))
        ids = [set(re.findall(r' id="([^"]+)"', svg)) for svg in (one, other)]

        assert ids[0]
        assert ids[0].isdisjoint(ids[1])
        assert len(re.findall(r' id="', one)) == len(ids[0])

    def test_each_panel_of_a_file_has_the_numbers_of_its_axes(self):
        panels = [Panel(name, [series()]) for name in "ABCDEF"]

        words = list(read(as_svg(plot_of(panels=panels))).itertext())

        assert words.count("3.0") + words.count("3") == 6

    def test_a_png_is_a_picture(self):
        png = as_png(plot_of(series()))

        assert png.startswith(b"\x89PNG\r\n\x1a\n")
        assert int.from_bytes(png[16:20]) > 600  # width in pixels, by the PNG specification

    def test_rows_hold_every_point_and_its_interval(self):
        text = plot_as_csv(plot_of(series(keys=["a", "b", "c"]), series("soft")))
        rows = list(csv.DictReader(io.StringIO(text)))

        assert [(row["x"], row["y"], row["lower"], row["upper"]) for row in rows] == [
            ("1", "7", "6", "8"),
            ("2", "9", "8", "10"),
            ("3", "10", "9", "11"),
        ]
        assert rows[0]["panel"] == "Brindle <east>"
        assert [row["of"] for row in rows] == ["a", "b", "c"]
