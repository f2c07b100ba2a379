"""Every topic's tables: the page, the CSV and the workbook hold the same numbers."""

import io
import re
from datetime import date
from html.parser import HTMLParser

import pandas as pd
import pytest
from django.urls import reverse

from samples.findings.topics import OFFERED
from samples.models import Fish, Radius, Reading
from samples.rules.number_text import MINUS
from tests.people import NOW, make_vials
from tests.targets.fish import make_fish

# What is worked out is the same on any database: once is enough.
pytestmark = [pytest.mark.django_db, pytest.mark.once]

NUMBER = re.compile(r"(?<![\w.])[+-]?\d[\d,]*(?:\.\d+)?(?![\w.]*\d)")
# A unit in brackets; or numbers of fish, of trips and years, ratios, statistics of tests.
HEAD = re.compile(
    r".*\)|.*\b(fish|aged|fish kept|fish released|Returned|of tags out|Lakes|Fish of stock length|"
    r"Right|Wrong|Cannot tell|Season|Seasons|Otoliths|Increments|Annulus|Year|year|Hatched in|"
    r"Growing seasons|Days|Years|df|chi2|p|c-hat|AICc|Effective n|expanded|Recruitment sd|Mean Wr|"
    r"Times the average|AICc difference|Residual of the log|Index|expected|Fish|Estimate|"
    r"Figure|Fish of age \d+ by .*)( low| high)?",
)


class Tables(HTMLParser):
    """The tables of a page as rows of text."""

    def __init__(self):
        super().__init__()
        self.tables, self.cell = [], []

    def handle_starttag(self, tag, attrs):
        if tag == "table":
            self.tables.append([])
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in ("th", "td"):
            self.cell = []

    def handle_endtag(self, tag):
        if tag in ("th", "td"):
            self.tables[-1][-1].append("".join(self.cell))
            self.cell = []

    def handle_data(self, data):
        self.cell.append(data)


@pytest.fixture
def lake_of_everything(fished, entered, population, lake, white, party, season, office, reader):
    """Fish that give every topic its tables: aged, weighed, read twice, with margins and radii."""
    entered(returned=75)
    population(lake.arms.get(name="Hobbin"), linf=11.0, count=240, seed=2)
    make_fish(party, white, 10.0, count=5, progress=1, weight_g=200)
    aged = list(Fish.objects.filter(progress=5).order_by("pk")[:60])
    vials = make_vials(season, first=2001, count=60, by=office)
    for place, (fish, vial) in enumerate(zip(aged, vials, strict=True)):
        fish.vial, fish.caught_on = vial, date(2026, 5 + place % 2, 20)
        fish.save()
        edge = int(fish.length_hundredths_mm / 20)
        for person, more in ((reader, 0), (office, 0 if place % 8 else 1)):
            annuli = (fish.age.age_years or 0) + more
            reading = Reading.objects.create(
                vial=vial, reader=person, sitting_on=NOW.date(), annuli=annuli,
                margin=1 + place % 4, read_at=NOW, edge_um=edge,
            )  # fmt: skip
            Radius.objects.bulk_create(
                Radius(reading=reading, annulus=k, radius_um=edge * k // (annuli + 1))
                for k in range(1, annuli + 1)
            )


DATA = '<table class="data'


def saved(client, lake, topic):
    """Return each table of a topic as the page writes it, with its CSV and its workbook."""
    address = reverse("findings:finding", args=[lake.slug, topic])
    html = client.get(address).content.decode()
    # Each table stands before the links that save it; of one in a file alone there are only links.
    before, *saves = re.split(r'href="(table-\d+)\.csv([^"]*)"', html)
    for name, query, after in zip(saves[::3], saves[1::3], saves[2::3], strict=True):
        parser = Tables()
        parser.feed(before[before.find(DATA) :] if DATA in before else "")
        csv, xlsx = (
            client.get(f"{address}{name}.{kind}{query.replace('&amp;', '&')}").content
            for kind in ("csv", "xlsx")
        )
        yield parser.tables[0] if parser.tables else None, csv, xlsx
        before = after


def is_held(token, values):
    """Return whether a number of the page is the rounded value of a file, or one of its words."""
    plain = token.replace(",", "")
    half = 0.5 / 10 ** len(plain.partition(".")[2])
    return any(
        token.lstrip("+-") in value
        if isinstance(value, str)
        else abs(float(plain) - value) <= half + 1e-9
        for value in values
    )


def numbers_of(cells):
    """Return the numbers of a row, without the upper ends of length bins and bounds of p.

    A file holds the edge of the next bin, and p itself.
    """
    plain = [re.sub(r"^([\d.]+)-[\d.]+ in$", r"\1", cell) for cell in cells]
    words = " | ".join(cell for cell in plain if cell != "< 0.001")
    return NUMBER.findall(words.replace(MINUS, "-"))


def test_page_csv_and_workbook_hold_the_same_numbers(client, lake, biologist, lake_of_everything):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    for topic in OFFERED:
        tables = list(saved(client, lake, topic))
        assert tables, topic
        for shown, csv, xlsx in tables:
            frame = pd.read_csv(io.BytesIO(csv))
            assert frame.columns.is_unique
            book = pd.read_excel(io.BytesIO(xlsx), sheet_name="Table")
            pd.testing.assert_frame_equal(frame, book, check_dtype=False, rtol=1e-13, atol=0)
            for name in map(str, frame.select_dtypes("number")):
                if frame[name].notna().any():
                    assert HEAD.fullmatch(name), (topic, name)
            if shown is None:
                continue
            assert len(frame) == len(shown) - 1
            for cells, row in zip(shown[1:], frame.itertuples(index=False), strict=True):
                values = [value for value in row if not pd.isna(value)]
                assert [one for one in numbers_of(cells) if not is_held(one, values)] == [], (
                    topic,
                    cells,
                )
