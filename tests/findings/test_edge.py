"""The page of edge analysis: margins by month and age group, every read fish accounted for."""

from datetime import date

import pytest

from samples.findings.topics.edge_analysis.page import OLD, YOUNG
from samples.models import Fish, Reading
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
