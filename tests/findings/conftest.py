"""Fish to find things out from, and pages opened and made."""

import re
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from django.http import QueryDict
from django.urls import reverse
from django.utils.html import strip_tags
from simple_history.utils import bulk_create_with_history

from samples.findings import queries
from samples.findings.computed import name_donors
from samples.findings.forms import AllSeasonsForm, ChoiceForm, LimitForm
from samples.findings.topics import TOPICS, Asks
from samples.findings.topics.query import TopicQuery
from samples.models import Age, Fish, NaturalDeath, Party, Progress, ReleaseDeath, TagReturns
from samples.rules.number_text import MINUS
from tests.factories import build_fish, build_trip_like, make_trip_like
from tests.people import CAUGHT_ON, NOW

LINF_IN, RATE = 13.0, 0.45
DEATH = 0.7
PLAIN = {"caught_on": CAUGHT_ON, "fingerprint": ""}


@pytest.fixture
def page(client, lake, biologist):
    """Open a page of findings as the biologist."""
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")

    def open_page(topic="length-at-age", query=""):
        return client.get(reverse("findings:finding", args=[lake.slug, topic]) + query)

    return open_page


@pytest.fixture
def made(lake, season, django_assert_num_queries):
    """Make the page of a topic without the web: made("growth", "by=sex")."""

    def make(topic, query="", *, named=True):
        options = queries.options_of(lake, NOW.date())
        words = QueryDict(query)
        release = [(str(row.pk), row.when) for row in ReleaseDeath.objects.filter(lake=lake)]
        asks = TOPICS[topic].asks
        plain = AllSeasonsForm if asks is Asks.ALL_SEASONS else ChoiceForm
        about_limits = asks is Asks.LIMITS
        form = LimitForm(words, options, release) if about_limits else plain(words, options)
        choice = form.choice()
        assert choice is not None
        fish = Fish.objects.filter(lake=lake)
        sample = queries.load(fish, choice)
        share = queries.large_share(sample)
        loaded = queries.load_parts(options, fish, choice, TOPICS[topic].reads)
        # By now everything has been read: what is worked out asks the database nothing.
        with django_assert_num_queries(0):
            page = TOPICS[topic].build(TopicQuery(options, choice, sample, loaded, share))
        return name_donors(page, named=named)

    return make


@pytest.fixture
def aged(party, white):
    """Make aged fish of the party: aged(3, [8.0, 9.0], arm=...)."""

    def make(years, lengths, *, standing="agreed", species=None, of=None, **others):
        progress = Progress.ONE_READER if standing == "one_reader" else Progress.AGED
        fish = Fish.objects.bulk_create(
            build_fish(
                of or party, species or white, inches=inches, progress=progress, **PLAIN | others
            )
            for inches in lengths
        )
        _give_ages([(one, years) for one in fish], standing)
        return fish

    return make


def _give_ages(rows, standing):
    bulk_create_with_history(
        [
            Age(
                fish=fish,
                standing=standing,
                age_years=years,
                year_class=2026 - years,
                rule="test",
                worked_out_at=NOW,
            )
            for fish, years in rows
        ],
        Age,
    )


@pytest.fixture
def population(party, white):
    """Return fish of a known curve and death rate from nets, measured in 20 sets,
    some of them aged.

    population(arm, linf=13.0) makes 400 measured fish of an arm, every third of them aged.
    """

    def make(arm, *, linf=LINF_IN, count=400, aged_of=3, seed=1, method="trap_net", **others):
        rng = np.random.default_rng(seed)
        death = others.get("death", DEATH)
        ages = 1 + rng.geometric(1 - np.exp(-death), count).clip(max=8) - 1
        clocks = ages + 0.2
        lengths = linf * (1 - np.exp(-RATE * clocks)) * rng.normal(1, 0.09, count)
        sets = Party.objects.bulk_create(_net_set(party, arm, place) for place in range(20))
        fish = Fish.objects.bulk_create(
            build_fish(
                sets[place % 20],
                others.get("species", white),
                inches=max(float(inches), 2.1),
                progress=Progress.AGED if place % aged_of == 0 else Progress.LOGGED,
                arm=arm,
                method=method,
                sex="FM"[place % 2],
                donor=None,
                caught_on=date(2026, 5, 20),
                fingerprint="",
            )
            for place, inches in enumerate(lengths)
        )
        _give_ages(list(zip(fish, ages.tolist(), strict=True))[::aged_of], "agreed")

    return make


@pytest.fixture
def second_party(party):
    """Open another party like the first, its fish chosen some way: second_party("biggest")."""

    def make(how_chosen):
        return make_trip_like(party, how_chosen=how_chosen)

    return make


@pytest.fixture
def entered(lake, white, season, biologist):
    """Enter natural death, tags and release death: entered(returned=60)."""
    said = {
        "lake": lake,
        "species": white,
        "as_of": "2026-01-01",
        "entered_by": biologist,
        "entered_at": NOW,
    }

    def enter(*, returned=60, natural=("0.25", "0.30", "0.36"), arm=None):
        least, middle, most = (Decimal(one) for one in natural)
        NaturalDeath.objects.create(
            least=least, middle=middle, most=most, source="Survey of lakes, 2019", arm=arm, **said
        )
        TagReturns.objects.create(
            season=season, arm=arm, tags_out=200, returned=returned, source="Tags of 2026",
            reporting_least="0.6", reporting_most="0.7", **said,
        )  # fmt: skip
        for when, share in (("Spring, shallow", "0.08"), ("Summer, deep", "0.45")):
            ReleaseDeath.objects.create(
                when=when, least="0.02", middle=share, most="0.6", source="Pens, 2021", **said
            )

    return enter


@pytest.fixture
def fished(population, party, white, brindle):
    """Net fish of a known curve in Brindle, and forty fish that anglers kept from 8.0 in on.

    They die as fast as natural death and some 60 tags of 200 say together.
    """
    population(brindle, count=600, linf=15.5, death=1.2)
    Fish.objects.bulk_create(
        build_fish(party, white, inches=8.0 + tenth / 10, progress=1, **PLAIN)
        for tenth in range(40)
    )


def _net_set(party, arm, place):
    return build_trip_like(
        party,
        party_id=f"0f{arm.pk:06d}-0000-4000-8000-{place:012d}",
        arm=arm,
        caught_on=date(2026, 5, 20),
        method="trap_net",
        net_nights=1,
        net_mesh_mm=13,
    )


def text(answer):
    return " ".join(strip_tags(answer.content.decode()).split())


def codes(sentences):
    """Return the codes of sentences; one without a code has none."""
    return [getattr(one, "code", "") for one in sentences]


def with_code(code, sentences):
    """Return the one sentence that has a code."""
    [found] = [one for one in sentences if getattr(one, "code", "") == code]
    return found


def numbers_in(words):
    """Return the numbers that a sentence gives, in order."""
    return [float(one.replace(",", "")) for one in re.findall(r"\d[\d,]*(?:\.\d+)?", words)]


def rows_of(page, name):
    """Return the rows of a page's table by its name, as the page writes them."""
    [table] = [table for table in page.tables if table.name == name]
    return texts_of(table)


def texts_of(table):
    return [[cell.text for cell in row] for row in table.rows]


def figure(text):
    return float(text.rstrip("%").replace(",", "").replace(MINUS, "-"))


def first_figure(text):
    """Return the value before its interval: -16 of "-16 (-19 to -12)"."""
    return figure(text.split(" ")[0])


def holds(interval, truth):
    low, high = (float(end.replace(MINUS, "-")) for end in interval.split(" to "))
    return low <= truth <= high
