"""Ageing error on the pages: from fish read twice, with its effect on the shares of ages."""

import pytest

from samples.findings.topics.intervals import misread_text
from samples.models import Reading
from tests.findings.conftest import codes, numbers_in, rows_of, with_code
from tests.people import NOW, make_vials
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db


@pytest.fixture
def read_twice(party, white, season, office, reader, biologist):
    """Have fish read by two people: read_twice(60), every tenth a year apart."""

    def make(count, apart=10):
        vials = make_vials(season, first=2001, count=count, by=office)
        fish = make_fish(party, white, 9.0, count=count, progress=4)
        for place, (one, vial) in enumerate(zip(fish, vials, strict=True)):
            one.vial = vial
            one.save()
            annuli = 2 + place % 4
            for person, more in ((reader, 0), (biologist, 0 if place % apart else 1)):
                Reading.objects.create(
                    vial=vial, reader=person, sitting_on=NOW.date(), annuli=annuli + more,
                    margin=2, read_at=NOW,
                )  # fmt: skip

    return make


def test_gives_the_cv_of_one_reading_and_how_often_it_is_right(made, read_twice):
    read_twice(60)

    page = made("readers")

    [table] = [one for one in page.tables if one.name == "ageing-error"]
    assert numbers_in(table.caption)[-1] == 60
    right = [row[1].value for row in table.rows]
    assert right == sorted(right, reverse=True)
    assert "precision only" in table.note


def test_gives_the_whole_matrix_of_true_and_read_ages(made, read_twice):
    read_twice(60)

    [table] = [one for one in made("readers").tables if one.name == "ageing-error-matrix"]

    for row in table.rows[:6]:
        shares = [cell.value for cell in row[1:]]
        assert sum(shares) == pytest.approx(1, abs=1e-6)
        assert shares.index(max(shares)) == row[0].value


def test_sets_shares_without_the_error_beside_those_as_read(made, population, brindle, read_twice):
    population(brindle)
    read_twice(60)

    rows = [row for row in rows_of(made("ages"), "shares-without-error") if row[0] == "Brindle"]

    for column in (2, 3):
        assert sum(float(row[column]) for row in rows) == pytest.approx(100, abs=2.5)
    structure = {row[1]: float(row[3]) for row in rows_of(made("ages"), "age-structure")}
    assert float(rows[0][2]) == pytest.approx(structure[rows[0][1]], abs=1.0)


def test_says_nothing_of_an_error_where_few_were_read_twice(made, population, brindle, read_twice):
    population(brindle)
    read_twice(20)

    assert all(one.name != "shares-without-error" for one in made("ages").tables)
    assert all(one.name != "ageing-error" for one in made("readers").tables)


def test_year_classes_are_told_of_where_readings_scatter():
    [words] = misread_text(0.11)

    assert (words.code, numbers_in(words)[0]) == ("ages_misread", 11)
    assert misread_text(0.05) == []


def test_the_page_of_year_classes_warns_of_ageing_error(made, population, brindle, read_twice):
    population(brindle)
    read_twice(60, apart=3)

    assert "ages_misread" in codes(made("year-classes").warnings)


def shares_of(page, group="Brindle"):
    rows = [row for row in rows_of(page, "age-structure") if row[0] == group]
    return {row[1]: float(row[3]) for row in rows if row[1].isdecimal()}


def test_true_ages_are_off_until_asked_for(made, population, brindle, read_twice):
    population(brindle)
    read_twice(60, apart=3)

    page = made("ages")

    assert "true_ages" not in codes(page.warnings)
    assert [one.name for one in page.tables].count("shares-without-error") == 1


def test_true_ages_replace_those_read_and_the_largest_change_is_said(
    made, population, brindle, read_twice
):
    population(brindle)
    read_twice(60, apart=3)
    before = shares_of(made("ages"))

    page = made("ages", "true_ages=on")

    after = shares_of(page)
    assert sum(after.values()) == pytest.approx(100, abs=0.5)
    said = numbers_in(with_code("true_ages", page.warnings))
    age, old, new = f"{said[-3]:.0f}", said[-2], said[-1]
    changes = {one: abs(after.get(one, 0) - before[one]) for one in before}
    assert changes[age] == pytest.approx(max(changes.values()), abs=0.1)
    assert changes[age] > 0.5
    assert (before[age], after[age]) == (old, new)
    # They stand in the table now: taken out once more, the error would count twice.
    assert all(one.name != "shares-without-error" for one in page.tables)
    assert "true_ages_limits" in codes(page.warnings)


def test_intervals_of_true_ages_hold_what_the_error_leaves_open(
    made, population, brindle, read_twice
):
    population(brindle)
    read_twice(60, apart=3)

    def widths(query):
        rows = [row for row in rows_of(made("ages", query), "age-structure") if row[0] == "Brindle"]
        ends = [[float(end) for end in row[5].split(" to ")] for row in rows if " to " in row[5]]
        return [high - low for low, high in ends]

    assert sum(widths("true_ages=on")[:4]) > sum(widths("")[:4])


def test_growth_goes_by_true_ages_where_asked(made, population, brindle, read_twice):
    population(brindle, count=300)
    read_twice(60, apart=3)

    plain, drawn = made("growth"), made("growth", "true_ages=on")

    assert rows_of(plain, "curve-values") != rows_of(drawn, "curve-values")
    assert rows_of(made("growth", "true_ages=on"), "curve-values") == rows_of(drawn, "curve-values")
    assert {"true_ages", "true_ages_limits"} <= set(codes(drawn.warnings))


def test_ages_stay_as_read_where_few_fish_were_read_twice(made, population, brindle, read_twice):
    population(brindle)
    read_twice(20)

    page = made("ages", "true_ages=on")

    assert numbers_in(with_code("true_ages_few_pairs", page.warnings)) == [50, 0]
    assert shares_of(page) == shares_of(made("ages"))
