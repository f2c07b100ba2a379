"""Edge analysis: months counted, and the month named only where one clearly stands out."""

import pytest

from samples.science.edge import (
    FormationWindow,
    edge_by_month,
    formation_window,
    month_of_formation,
)


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


def test_window_holds_the_months_in_which_annuli_clearly_form():
    """Of 20 otoliths 9 are clearly more than a tenth (Wilson: 26 % and up), 3 are not (5 %)."""
    found = otoliths(april=3, may=15, june=9) + otoliths(august=1, october=0)
    july = edge_by_month([7] * 20, [1] + [2] * 19)

    window = formation_window([*found[:3], *july, *found[3:]], fewest=15)

    assert window == FormationWindow(first=5, last=6, missing=())


def test_a_month_beside_the_window_that_nobody_sampled_is_named():
    found = otoliths(may=15, june=9, october=0)

    assert formation_window(found, fewest=15) == FormationWindow(5, 6, missing=(4, 7))


def test_no_window_without_a_month_that_stands_out():
    assert formation_window(otoliths(may=10, august=9), fewest=15) is None


def test_a_window_may_cross_new_year():
    months = [11] * 20 + [12] * 20 + [1] * 20 + [2] * 20 + [6] * 20
    codes = [4] * 20 + [1] * 10 + [4] * 10 + [1] * 18 + [2] * 22 + [3] * 20

    window = formation_window(edge_by_month(months, codes), fewest=15)

    assert (window.first, window.last) == (12, 1)
