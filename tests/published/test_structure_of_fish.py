"""Year classes, size structure, relative weight and back-calculation against publications."""

import numpy as np
import pytest

from samples.science.back_calculation import from_hatching, proportional, with_intercept
from samples.science.size_structure import (
    LENGTHS,
    STANDARD_WEIGHTS,
    size_structure,
    standard_weight,
    wilson,
)
from samples.science.year_class import class_strengths


def test_year_classes_about_a_catch_curve():
    """Maceina (1997), Fish. Res. 32:115-121, the method; formula from memory, values by R."""
    found = class_strengths(range(1, 9), [120, 45, 80, 30, 12, 14, 4, 2], season_year=2021)

    assert (found.intercept, found.slope) == pytest.approx((5.460497, -0.558422), abs=1e-6)
    assert [one.year_class for one in found.classes] == list(range(2020, 2012, -1))
    assert [one.residual for one in found.classes] == pytest.approx(
        [-0.114583, -0.536991, 0.596796, 0.174388, -0.18348, 0.529092, -0.165249, -0.299974],
        abs=1e-6,
    )
    assert [one.index for one in found.classes] == pytest.approx(
        [-0.320371, -1.65842, 1.77854, 0.401766, -0.423444, 1.47978, -0.416978, -0.894156],
        rel=1e-5,
    )


CRAPPIES = [112, 128, 131, 145, 160, 172, 188, 199, 200, 204, 215, 228, 236, 249, 250, 263, 281]
CRAPPIES += [300, 312, 381]


def test_size_structure_of_twenty_crappies():
    """Gabelhouse (1984), N. Am. J. Fish. Manage. 4:273-285; Guy et al. (2007): counted by hand."""
    found = size_structure("white-crappie", CRAPPIES)

    assert (found.n, found.stock) == (20, 18)
    assert [one.fish for one in found.over] == [12, 6, 3, 1]
    assert [one.percent for one in found.over] == pytest.approx(
        [66.6667, 33.3333, 16.6667, 5.5556], abs=1e-3
    )
    assert [one.percent for one in found.between] == pytest.approx(
        [33.3333, 33.3333, 16.6667, 11.1111, 5.5556], abs=1e-3
    )


def test_a_fish_counts_in_the_unit_it_was_measured_in():
    """Willis, Murphy & Guy (1993), Rev. Fish. Sci. 1:203-222: stock length of white crappie is 5 in
    or 130 mm; 5.0 in is 127 mm and is stock."""
    found = size_structure("white-crappie", [128, 5.0, 5.1], ["mm", "in", "in"])

    assert found.stock == 2


@pytest.mark.parametrize("species", LENGTHS)
def test_the_two_tables_of_lengths_belong_together(species):
    """Gabelhouse (1984): each metric value is the one in inches rounded to the centimetre; 14 in
    to 350 and 25 in to 630 mm are published so."""
    apart = {14: 350, 25: 630}
    for inches, mm in zip(LENGTHS[species].inches, LENGTHS[species].mm, strict=True):
        assert mm == apart.get(inches, round(inches * 2.54) * 10)


@pytest.mark.parametrize(
    ("fish", "of", "lower", "upper"), [(81, 263, 0.2553, 0.3662), (0, 20, 0.0, 0.1611)]
)
def test_the_interval_of_a_share(fish, of, lower, upper):
    """Newcombe (1998), Stat. Med. 17:857-872, Table I, method 3 (Wilson)."""
    assert wilson(fish, of) == pytest.approx((lower, upper), abs=5e-5)


@pytest.mark.parametrize(
    ("species", "weights"),
    {
        "black-crappie": (252.99, 465.55, 1218.68),
        "white-crappie": (222.81, 409.04, 1066.75),
        "bluegill": (378.07, 692.04, 1796.52),
        "walleye": (148.75, 265.61, 663.06),
        "largemouth-bass": (209.15, 379.86, 973.96),
        "channel-catfish": (125.55, 228.9, 590.45),
    }.items(),
)
def test_standard_weights(species, weights):
    """g at 250, 300 and 400 mm, worked out apart from the coefficients below."""
    lengths = [
        length for length in (250, 300, 400) if length >= STANDARD_WEIGHTS[species].shortest_mm
    ]
    expected = weights[3 - len(lengths) :]

    assert standard_weight(species, lengths) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    ("species", "a", "b"),
    [
        ("walleye", -5.453, 3.180),
        ("smallmouth-bass", -5.329, 3.200),
        ("largemouth-bass", -5.528, 3.273),
        ("bluegill", -5.374, 3.316),
        ("white-crappie", -5.642, 3.332),
        ("black-crappie", -5.618, 3.345),
        ("channel-catfish", -5.800, 3.294),
    ],
)
def test_coefficients_of_standard_weight(species, a, b):
    """Walleye: Murphy, Brown & Springer (1990), N. Am. J. Fish. Manage. 10:85-97, and smallmouth
    bass: both seen in the analysis that goes with Ranney, Zale & Syslo (2018) on stomach contents
    and relative weight. The others as listed in Blackwell, Brown & Willis (2000), Rev. Fish. Sci.
    8:1-44: seen in copies of that list, not in the paper itself. Sauger, saugeye, white bass and
    yellow perch were not seen so, or differed, and are not in the product."""
    assert (STANDARD_WEIGHTS[species].a, STANDARD_WEIGHTS[species].b) == (a, b)


def test_relative_weight_begins_at_stock_length():
    """Murphy & Willis (1991) recommend 280 mm at the least for channel catfish, its stock length:
    seen in a reservoir report that cites them."""
    for species, line in STANDARD_WEIGHTS.items():
        assert line.shortest_mm == LENGTHS[species].mm[0]
    assert STANDARD_WEIGHTS["channel-catfish"].shortest_mm == 280


PUBLISHED_LENGTHS = {
    "white-crappie": ((5, 8, 10, 12, 15), (130, 200, 250, 300, 380)),
    "black-crappie": ((5, 8, 10, 12, 15), (130, 200, 250, 300, 380)),
    "bluegill": ((3, 6, 8, 10, 12), (80, 150, 200, 250, 300)),
    "walleye": ((10, 15, 20, 25, 30), (250, 380, 510, 630, 760)),
    "largemouth-bass": ((8, 12, 15, 20, 25), (200, 300, 380, 510, 630)),
    "smallmouth-bass": ((7, 11, 14, 17, 20), (180, 280, 350, 430, 510)),
    "channel-catfish": ((11, 16, 24, 28, 36), (280, 410, 610, 710, 910)),
    "hybrid-striped-bass": ((10, 16, 20, 24, 28), (250, 410, 510, 610, 710)),
}


@pytest.mark.parametrize("species", LENGTHS)
def test_length_categories(species):
    """Gabelhouse (1984), N. Am. J. Fish. Manage. 4:273-285, and Dumont & Neely (2011) for hybrid
    striped bass: seen, all five of each species in inches and in centimetres, in the table of
    published categories that the R package FSA carries (data-raw/PSDlit.csv), not in the papers
    themselves. Seen besides: walleye and smallmouth bass in the analysis of Ranney, Zale & Syslo
    (2018); largemouth bass (20 and 30 cm) and white crappie (130 mm, 5 in) in Willis, Murphy & Guy
    (1993), Rev. Fish. Sci. 1:203-222."""
    assert (LENGTHS[species].inches, LENGTHS[species].mm) == PUBLISHED_LENGTHS[species]


def test_length_categories_of_hybrid_striped_bass():
    """Dumont & Neely (2011), N. Am. J. Fish. Manage. 31:722-725, abstract seen: 10, 16, 20, 24 and
    28 in for palmetto bass. In millimetres by the rounding of the test above."""
    assert LENGTHS["hybrid-striped-bass"].inches == (10, 16, 20, 24, 28)


def test_lengths_at_four_rings():
    """Campana (1990), Can. J. Fish. Aquat. Sci. 47:2219-2227; Francis (1990), J. Fish Biol.
    36:883-902: formulas from memory; a fish of 270 mm, radius 1.5 mm."""
    rings = [0.6, 0.95, 1.2, 1.38]

    assert proportional(270, 1.5, rings) == pytest.approx([108, 171, 216, 248.4])
    assert with_intercept(270, 1.5, rings, intercept_mm=35) == pytest.approx(
        [129, 183.83333, 223, 251.2]
    )
    hatched = from_hatching(270, 1.5, rings, length_at_start_mm=5, radius_at_start=0.05)
    assert hatched == pytest.approx([105.51724, 169.48276, 215.17241, 248.06897])


def test_one_way_turns_into_the_other():
    """Francis (1990): at the edge the length is that at capture; without a start all ways agree."""
    rings = np.array([0.4, 1.0, 1.5])
    plain = proportional(270, 1.5, rings)

    assert plain[-1] == 270
    assert with_intercept(270, 1.5, rings, intercept_mm=0) == pytest.approx(plain)
    start = from_hatching(270, 1.5, rings, length_at_start_mm=0, radius_at_start=0)
    assert start == pytest.approx(plain)
    assert from_hatching(270, 1.5, 0.05, length_at_start_mm=5, radius_at_start=0.05) == 5
