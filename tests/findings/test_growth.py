"""Growth over seasons: what is said of years, ages, forms of curve and sexes."""

import re
from datetime import date

import numpy as np
import pytest

from samples.models import Fish, Season
from tests.factories import make_trip_like
from tests.findings.conftest import LINF_IN, RATE, codes, figure, rows_of, with_code

pytestmark = pytest.mark.django_db

GOOD_YEAR = 2025


@pytest.fixture
def net_set(lake, party, brindle):
    """Make a net set of a year, before growth began in it: net_set(2024)."""

    def make(year):
        season, _ = Season.objects.get_or_create(
            lake=lake,
            name=str(year),
            defaults={
                "number_year": year,
                "starts_on": date(year, 1, 1),
                "ends_on": date(year, 12, 31),
            },
        )
        return make_trip_like(
            party, season=season, arm=brindle, caught_on=date(year, 3, 20), method="trap_net"
        )

    return make


def test_no_length_is_given_outside_the_ages_seen(made, aged):
    """Twelve fish of ages 2 to 5 tell nothing of age 1."""
    for years, lengths in {2: [7, 7.5, 7.2], 3: [8.9, 9, 9.2], 4: [10, 10.3, 10.1],
                           5: [10.9, 11, 11.2]}.items():  # fmt: skip
        aged(years, lengths)

    page = made("growth")

    given = [row[1] for row in rows_of(page, "length-at-birthdays")]
    assert given == ["3", "4", "5"]  # the youngest are 2 and a part of a season
    [line] = [one for one in page.plots[0].panels[0].series if one.style == "line"]
    assert min(line.x) > 2
    for row in rows_of(page, "years-to-length"):
        ends = [*row[3].split(" to "), row[2]]
        numbers = [float(one) for one in ends if one.replace(".", "").isdigit()]
        assert all(2 < number < 6 for number in numbers)


def test_one_season_says_that_the_width_is_assumed(made, population, brindle):
    population(brindle)

    page = made("growth")

    assert "year_sd_assumed" in codes(page.warnings)
    assert "growth-years" not in [table.name for table in page.tables]
    assert not [one for one in page.plots[0].panels[0].series if one.style == "dash"]


def test_all_seasons_stand_together_and_a_good_year_is_named(made, aged, net_set):
    """Three seasons; growth in one year was half as fast again."""
    for year in (2024, 2025, 2026):
        for scale in (0.93, 0.97, 1.0, 1.03, 1.07):
            net = net_set(year)
            for years in range(1, 8):
                lived = range(year - years, year)
                tau = sum(1.5 if one == GOOD_YEAR else 1.0 for one in lived)
                mean = LINF_IN * (1 - np.exp(-RATE * tau))
                aged(years, [mean * scale], of=net, caught_on=net.caught_on, method="trap_net")

    page = made("growth")

    assert with_code("good_year", page.summary).startswith("2025 ")
    assert "year_sd_assumed" not in codes(page.warnings)
    at_three = next(row for row in rows_of(page, "length-at-birthdays") if row[1] == "3")
    assert float(at_three[4]) > float(at_three[2])
    [dashed] = [one for one in page.plots[0].panels[0].series if one.style == "dash"]
    assert dashed.name == "growth of 2023-2025"
    in_one_season = made("growth", "season=2026")
    assert "year_sd_assumed" in codes(in_one_season.warnings)


def test_a_form_that_fits_better_is_drawn_beside_and_told(made, aged):
    for years in range(8):
        time = years + 0.12
        mean = 13 * np.exp(-np.exp(-0.9 * (time - 1.6)))
        aged(years, [max(mean * scale, 2.1) for scale in np.linspace(0.9, 1.1, 15)])

    page = made("growth")

    rows = {row[1]: row for row in rows_of(page, "forms")}
    assert float(rows["von Bertalanffy"][3]) > 2
    assert "better_form" in codes(page.warnings)
    [dotted] = [one for one in page.plots[0].panels[0].series if one.style == "dotted"]
    [line] = [one for one in page.plots[0].panels[0].series if one.style == "line"]
    assert (min(dotted.x), max(dotted.x)) == (min(line.x), max(line.x))
    assert next(table for table in page.tables if table.name == "forms").folded


def test_the_sexes_are_proposed_where_they_differ(made, population, brindle):
    population(brindle)
    before = made("growth").warnings
    for fish in Fish.objects.filter(sex="F"):
        fish.length_hundredths_mm = round(fish.length_hundredths_mm * 1.25)
        fish.save()

    warnings = made("growth").warnings

    assert "sexes_differ" not in codes(before)
    assert with_code("sexes_differ", warnings).startswith("Females ")
    by_sex = made("growth", "by=sex")
    assert "sexes_differ" not in codes(by_sex.warnings)
    assert {row[0] for row in rows_of(by_sex, "differences")} <= {"Female", "Male"}


def test_fish_that_anglers_took_are_counted_in_where_it_is_known_how_many(made, fished, entered):
    """Fast growers are taken first: a curve of the fish that are left lies too low."""
    of_left = made("growth")
    entered(returned=60)

    of_born = made("growth")

    before, after = (
        [figure(row[2]) for row in rows_of(one, "length-at-birthdays")]
        for one in (of_left, of_born)
    )
    assert after[-1] > before[-1] + 0.1
    assert after[0] == pytest.approx(before[0], abs=0.3)
    # u 60 / (200 x 0.65) and M 0.36 make F some 0.8.
    [fishing] = re.findall(r"F (\d\.\d\d)", with_code("taken_counted_in", of_born.cautions))[:1]
    assert 0.65 < float(fishing) < 1.0
    assert "taken_counted_in" not in codes(of_left.cautions)
