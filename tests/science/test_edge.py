"""Edge analysis: months counted, and the month named only where one clearly stands out."""

import pytest

from samples.science.edge import edge_by_month, month_of_formation


def otoliths(**share_at_edge):
    """Make twenty otoliths a month: so many of code 1, the others of code 3."""
    months, codes = [], []
    for name, count in share_at_edge.items():
        month = {"april": 4, "may": 5, "june": 6, "august": 8, "october": 10}[name]
        months += [month] * 20
        codes += [1] * count + [3] * (20 - count)
    return edge_by_month(months, codes)


def test_counts_each_code_of_a_month():
    [april, may] = edge_by_month([5, 4, 4, 4], [1, 4, 4, 1])

    assert (april.month, april.counts, april.n) == (4, (1, 0, 0, 2), 3)
    assert april.share == pytest.approx(1 / 3)
    assert (may.month, may.share) == (5, 1.0)


def test_names_the_month_that_stands_above_those_apart_from_it():
    found = otoliths(april=3, may=15, june=9, august=1, october=0)

    assert month_of_formation(found, fewest=15) == 5


@pytest.mark.parametrize(
    ("shares", "fewest"),
    [
        ({"may": 15}, 15),  # one month says nothing of the others
        ({"may": 15, "june": 9}, 15),  # nor do two that adjoin
        ({"may": 10, "august": 9}, 15),  # about alike
        ({"may": 15, "august": 0}, 25),  # too few otoliths
    ],
)
def test_names_no_month_where_none_stands_out(shares, fewest):
    assert month_of_formation(otoliths(**shares), fewest=fewest) is None
