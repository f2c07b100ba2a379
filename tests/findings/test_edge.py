"""The page of edge analysis: margins by month and age group, every read fish accounted for."""

from dataclasses import replace
from datetime import date

import pytest
from django.urls import reverse

from samples.findings.queries import Loaded
from samples.findings.sample import Margins
from samples.findings.topics import Topic
from samples.findings.topics.edge_analysis.page import OLD, YOUNG
from samples.models import Fish, LakeSpecies, Reading
from tests.findings.conftest import codes, numbers_in, rows_of
from tests.people import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def read(aged, vials, reader):
    """Read fish of a month: read(5, annuli=3, codes=[1, 1, 4])."""
    free = iter(vials)

    def make(month, *, annuli, codes):
        fish = aged(annuli, [9.0] * len(codes))
        Fish.objects.filter(pk__in=[one.pk for one in fish]).update(caught_on=date(2026, month, 10))
        for one, code in zip(fish, codes, strict=True):
            one.vial = next(free)
            Fish.objects.filter(pk=one.pk).update(vial=one.vial)
            Reading.objects.create(
                vial=one.vial, reader=reader, sitting_on="2026-11-01", annuli=annuli, margin=code,
                read_at=NOW,
            )  # fmt: skip

    return make


def test_sets_months_and_age_groups_apart_and_accounts_for_every_fish(made, read):
    read(5, annuli=3, codes=[1, 1, 4])
    read(6, annuli=2, codes=[2])
    read(5, annuli=1, codes=[3])
    read(6, annuli=3, codes=[None])

    page = made("edge")

    assert rows_of(page, "edge") == [
        [YOUNG, "June", "1", "0", "100", "0", "0", "0 to 79"],
        [OLD, "May", "3", "67", "0", "0", "33", "21 to 94"],
    ]
    assert codes(page.left_out) == ["account", "no_margin", "one_annulus"]
    assert [numbers_in(one)[:3] for one in page.left_out] == [[6, 4, 2], [1], [1]]
    assert (page.summary[0].code, numbers_in(page.summary[0])[-1]) == ("few_a_month", 15)


def test_asks_for_margins_where_there_are_none(made, aged):
    aged(3, [9.0])

    assert made("edge").refused.code == "no_margins"


# Share of code 1 a month of 20 otoliths: annuli form in May and June.
MAY_AND_JUNE = {4: 1, 5: 15, 6: 9, 7: 1, 10: 0}


def margins(young, old):
    """Return margins by the otoliths of code 1 among 20 of each month, of two and four annuli."""
    rows = [
        (annuli, month, 1 if place < at_edge else 2)
        for annuli, months in ((2, young), (4, old))
        for month, at_edge in months.items()
        for place in range(20)
    ]
    annuli, month, code = (list(column) for column in zip(*rows, strict=True))
    return Margins(annuli, month, code, without=0, undated=0)


@pytest.fixture
def with_margins(monkeypatch):
    """Let what is loaded hold these margins."""

    build = Topic.build

    def let(found):
        loaded = Loaded(read_margins=found)
        monkeypatch.setattr(
            Topic, "build", lambda topic, query: build(topic, replace(query, loaded=loaded))
        )

    return let


def test_offers_the_months_that_both_age_groups_show(made, with_margins):
    with_margins(margins(MAY_AND_JUNE, MAY_AND_JUNE | {6: 2}))

    offer = made("edge").offer

    assert dict(offer.values) == {"annulus_starts": "05-01", "annulus_ends": "06-30"}


def test_offers_nothing_where_the_window_is_so_already(made, with_margins, lake):
    LakeSpecies.objects.filter(lake=lake).update(annulus_starts="05-10", annulus_ends="06-20")
    with_margins(margins(MAY_AND_JUNE, MAY_AND_JUNE))

    assert made("edge").offer is None


@pytest.mark.parametrize(
    "old",
    [{5: 15}, {4: 1, 5: 10, 6: 9, 7: 9, 10: 9}],
    ids=["one month", "no month stands out"],
)
def test_offers_nothing_on_one_age_group_alone(made, with_margins, old):
    with_margins(margins(MAY_AND_JUNE, old))

    page = made("edge")

    assert page.offer is None
    assert "months_missing" not in codes(page.warnings)


def test_asks_for_the_months_beside_the_window_first(made, with_margins):
    without_july = {month: n for month, n in MAY_AND_JUNE.items() if month != 7}
    with_margins(margins(without_july, MAY_AND_JUNE))

    page = made("edge")

    assert page.offer is None
    assert "months_missing" in codes(page.warnings)


def test_the_offer_leads_to_the_species_with_its_dates_and_only_saving_changes_them(
    page, aged, with_margins, client, lake
):
    aged(3, [9.0])
    with_margins(margins(MAY_AND_JUNE, MAY_AND_JUNE))
    stored = LakeSpecies.objects.filter(lake=lake).order_by("position", "pk")[:1]
    before = stored.values_list("annulus_starts", "annulus_ends")[0]

    address = page("edge").context["offer_address"]
    answer = client.get(address)

    form = answer.context["form"]
    shown = {name: form[name].value() for name in ("annulus_starts", "annulus_ends")}
    assert shown == {"annulus_starts": "May 1", "annulus_ends": "June 30"}
    assert stored.values_list("annulus_starts", "annulus_ends")[0] == before
    sent = {name: form[name].value() or "" for name in form.fields}
    client.post(address, {name: value for name, value in sent.items() if value is not False})
    assert stored.values_list("annulus_starts", "annulus_ends")[0] == ("05-01", "06-30")


@pytest.mark.parametrize("query", ["", "annulus_starts=13-40&annulus_ends=06-30", "annulus_ends=1"])
def test_an_address_that_offers_no_window_fills_nothing_in(client, biologist, lake, query):
    client.force_login(biologist)
    row = LakeSpecies.objects.filter(lake=lake).order_by("pk")[0]

    address = reverse("waters:lake_species", args=[lake.slug, row.pk])
    answer = client.get(f"{address}?{query}")

    assert answer.context["form"].initial["annulus_starts"] == row.annulus_starts
    assert not answer.context["lead"]
