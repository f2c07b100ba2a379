"""Figures as they stand in a page and as they are saved."""

import csv
import io
import re
from concurrent.futures import ThreadPoolExecutor
from xml.etree import ElementTree as ET

import pytest

from samples.findings.figures import as_png, as_svg, thinned_text
from samples.findings.page_model import Mark, Panel, Plot, Series
from samples.findings.presenters.plot_csv import plot_as_csv

SVG = "{http://www.w3.org/2000/svg}"
KINDS = ["line", "dash", "soft", "dots", "small", "band", "bars", "discs"]


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


def read(svg):
    return ET.fromstring(svg)  # noqa: S314 - drawn by us


def series(kind="dots", **more):
    facts = {"lower": [6.0, 8.0, 9.0], "upper": [8.0, 10.0, 11.0], "name": "mean"}
    facts |= {"size": [0.2, 0.5, 1.0]} if kind == "discs" else {}
    return Series(kind, [1.0, 2.0, 3.0], [7.0, 9.0, 10.0], **(facts | more))


class TestOnThePage:
    @pytest.mark.parametrize("kind", KINDS)
    def test_needs_no_style_and_takes_its_colours_from_the_page(self, kind):
        svg = as_svg(plot_of(series(kind)))

        assert read(svg).tag == f"{SVG}svg"
        assert " style=" not in svg
        assert "<style" not in svg
        assert re.findall(r"#[0-9a-f]{6}\b", svg) == []
        assert "var(--ink)" in svg

    def test_says_in_words_what_it_shows(self):
        root = read(as_svg(plot_of(series())))

        assert root.get("role") == "img"
        assert root.get("aria-label") == 'Length & age, "three" fish.'
        assert root.find(f"{SVG}title").text == 'Growth of "A" & B'

    def test_keeps_its_words_as_words(self):
        words = " ".join(read(as_svg(plot_of(series()))).itertext())

        for one in ("Brindle <east>", "Age, years", "Total length, inches", "kept from here"):
            assert one in words

    @pytest.mark.parametrize("name", [r"A\Bay \1 \g<0>", r"$\foo$ of $5 to $6", "<b>&"])
    def test_any_name_can_be_drawn(self, name):
        drawn = plot_of(series(), panels=[Panel(name, [series()])], alt=name, x_label=name)

        root = read(as_svg(drawn))

        assert root.get("aria-label") == name
        assert name in " ".join(root.itertext())
        assert as_png(drawn).startswith(b"\x89PNG")

    def test_figures_drawn_at_once_come_out_as_if_one_by_one(self):
        plots = [plot_of(series(), name=f"Figure {number}") for number in range(8)]
        alone = [as_svg(plot) for plot in plots]

        with ThreadPoolExecutor(4) as threads:
            together = list(threads.map(as_svg, plots))

        assert together == alone

    def test_a_dot_leads_to_its_fish(self):
        dots = series(keys=["26 0001 8", "", "26 0003 4"])

        svg = as_svg(plot_of(dots), link=lambda key: f"/vial/{key[:7].replace(' ', '')}/")

        assert re.findall(r'href="(/vial/[^"]+)" aria-label="([^"]+)"', svg) == [
            ("/vial/260001/", "Vial 26 0001 8"),
            ("/vial/260003/", "Vial 26 0003 4"),
        ]
        assert read(svg).get("role") == "group"

    def test_two_figures_on_a_page_share_no_name(self):
        one, other = (as_svg(plot_of(series(), name=name)) for name in ("Growth", "Deaths"))
        ids = [set(re.findall(r' id="([^"]+)"', svg)) for svg in (one, other)]

        assert ids[0]
        assert ids[0].isdisjoint(ids[1])
        assert len(re.findall(r' id="', one)) == len(ids[0])

    def test_of_many_points_a_sample_is_drawn_and_said_so(self):
        fish = [float(k) for k in range(4_000)]
        keys = [str(k) for k in range(4_000)]
        many, few = Series("small", fish, fish, keys=keys), series("dots")
        plot = plot_of(many, few)

        svg = as_svg(plot, link=lambda key: f"/vial/{key}/")

        drawn = re.findall(r'href="/vial/(\d+)/"', svg)
        # Three means are drawn whole.
        assert len(drawn) == 1_497
        assert len(set(drawn)) == 1_497
        assert thinned_text(plot).startswith("Drawn: 1,500 of 4,003 points")
        assert len(plot_as_csv(plot).splitlines()) == 1 + 4_003

    def test_of_few_points_all_are_drawn(self):
        assert thinned_text(plot_of(series("dots"))) == ""

    def test_the_same_data_draw_the_same_figure(self):
        assert as_svg(plot_of(series())) == as_svg(plot_of(series()))


class TestSaved:
    def test_an_svg_carries_colours_of_its_own(self):
        svg = as_svg(plot_of(series()), on_page=False)

        assert "var(" not in svg
        assert "#12212a" in svg

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
