"""How a season fills: totals as another program counts them, and what is said early and late."""

import csv
import io
import random
from datetime import date, timedelta

import pandas as pd
import pytest
from django.urls import reverse

from samples.accounts.selectors import fish_counted_at
from samples.models import Fish, Progress, Season, Sex
from samples.models.party import Method
from samples.seasons.presenters.progress import progress_of
from samples.seasons.queries.weeks import SPLITS, SeasonChoice, season_rows
from samples.targets.presenters.shaping import coverage_of
from samples.targets.queries.choice import CoverageSelection, options_of
from samples.targets.rules import Count
from tests.factories import build_fish
from tests.people import CAUGHT_ON, INCH
from tests.targets.test_queries import want

STARTS_ON = date(2026, 1, 1)
SEXES = ["F", "M", "I", "U"]
METHODS = ["angler_kept", "creel", "trap_net"]


@pytest.fixture
def fill(lake, party, white, black, season):
    """Make fish of two seasons: everywhere, of every kind, some without a date or a vial."""

    def make(count=300):
        draw = random.Random(5)
        last = Season.objects.create(
            lake=lake,
            name="2025",
            number_year=2025,
            starts_on=date(2025, 1, 1),
            ends_on=date(2025, 12, 31),
        )
        places = [(arm, reach) for arm in lake.arms.all() for reach in [*arm.reaches.all(), None]]
        made = []
        for _ in range(count):
            of = draw.choice([season, last])
            arm, reach = draw.choice(places)
            days = draw.randrange(120 if of == season else 365)
            made.append(
                build_fish(
                    party,
                    draw.choice([white, white, black]),
                    inches=draw.choice([8, 9, 10, 11, 12]) + 0.3,
                    progress=draw.choice(list(Progress)),
                    withdrawn=draw.random() < 0.05,
                    season=of,
                    arm=arm,
                    reach=reach,
                    sex=draw.choice(SEXES),
                    method=draw.choice(METHODS),
                    caught_on=None if draw.random() < 0.05 else of.starts_on + timedelta(days),
                    fingerprint="",
                )
            )
        Fish.objects.bulk_create(made)

    return make


@pytest.fixture
def look(lake, biologist, season, white):
    def progress(*, split="arm", every=False, of=None, day=date(2026, 5, 6)):
        options = options_of(lake, day)
        species = [one for one in options.lake_species if every or one.species == white]
        choice = SeasonChoice(of or season, species, split, every)
        fish = fish_counted_at(biologist, lake)
        found = season_rows(fish, options, choice.season, species, group=SPLITS[split])
        return progress_of(choice, found, options)

    return progress


def crosstab(season, column, **where):
    """Count the logged fish of a season by week and column, as pandas does."""
    rows = Fish.objects.filter(
        season=season, withdrawn=False, progress__gte=Progress.LOGGED, **where
    ).values("caught_on", column)
    frame = pd.DataFrame(rows)
    week = [
        "No date" if day is None else (day - season.starts_on).days // 7
        for day in frame["caught_on"]
    ]
    of = frame[column].fillna("Not noted")
    return pd.crosstab(pd.Series(week, name="week"), of)


def weeks_shown(table, season):
    """Return the figures of a table by week and group, those that are not 0."""
    heads = table.heads
    groups = heads[1 : heads.index("All")]
    shown = {}
    for row in table.rows[1:]:
        [head] = row[0].parts
        week = head.value
        if week != "No date":
            week = (date.fromisoformat(week) - season.starts_on).days // 7
        for name, cell in zip(groups, row[1:], strict=False):
            if cell.value:
                shown[week, name] = cell.value
    return shown


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("split", "column"),
    [("arm", "arm__name"), ("reach", "reach__name"), ("sex", "sex"), ("method", "method")],
)
def test_weeks_and_totals_equal_a_crosstab(fill, look, season, white, split, column):
    fill()

    table = look(split=split).tables[-1]

    wanted = crosstab(season, column, species=white)
    labels = {"sex": dict(Sex.choices), "method": dict(Method.choices)}.get(split, {})
    expected = {
        (week, str(labels.get(name, name))): n for (week, name), n in wanted.stack().items() if n
    }
    assert weeks_shown(table, season) == expected
    total = table.rows[0]
    by_group = {str(labels.get(name, name)): n for name, n in wanted.sum().items()}
    groups = table.heads[1 : table.heads.index("All")]
    assert {
        name: cell.value for name, cell in zip(groups, total[1:], strict=False) if cell.value
    } == by_group
    assert total[table.heads.index("All")].value == wanted.to_numpy().sum()


@pytest.mark.django_db
def test_what_is_short_is_what_coverage_says(fill, look, lake, biologist, season, white):
    fill()
    for inches in (8, 10, 12):
        want(season, white, inches, 20)
        for arm in lake.arms.all():
            want(season, white, inches, 8, arm)

    found = look()

    options = options_of(lake, CAUGHT_ON)
    selection = CoverageSelection(lake, season, white, INCH, count=Count.LOGGED)
    coverage = coverage_of(fish_counted_at(biologist, lake), options, selection, donors_named=False)
    [filling] = found.fillings
    assert filling.short == coverage.short > 0
    by_arm = {
        row[0].text: row[table_place(found.tables[0], "Short")] for row in found.tables[0].rows
    }
    assert {name: cell.value for name, cell in by_arm.items()} == {
        row.arm.name: row.total.need.short for row in coverage.rows
    }


def table_place(table, head):
    return table.heads.index(head)


@pytest.mark.django_db
class TestWhatIsSaid:
    def codes(self, found):
        return [found.headline.code, *(one.code for one in found.lead)]

    def test_of_a_season_under_way(self, fill, look, season, white):
        fill()
        want(season, white, 8, 90)

        found = look()

        assert self.codes(found) == ["forecast_short", "interval", "pace"]
        styles = {one.style for one in found.plots[0].panels[0].series}
        assert styles == {"band", "dash", "dotted", "line"}

    def test_of_an_empty_season_in_its_first_weeks_without_another(self, look, season, white):
        want(season, white, 8, 20)

        found = look(day=date(2026, 1, 20))

        assert self.codes(found) == ["filled", "pace", "few_weeks"]
        assert found.fillings[0].short == 20

    def test_of_a_season_that_has_not_begun_from_the_last_one(
        self, fill, look, season, white, lake
    ):
        fill()
        coming = Season.objects.create(
            lake=lake,
            name="2027",
            number_year=2027,
            starts_on=date(2027, 1, 1),
            ends_on=date(2027, 12, 31),
        )
        want(coming, white, 8, 90)

        found = look(of=coming, day=date(2026, 12, 20))

        assert self.codes(found) == ["forecast_short", "interval", "not_begun"]

    def test_on_the_last_day_the_forecast_is_what_is_short(self, fill, look, season, white):
        fill(60)
        want(season, white, 8, 90)

        found = look(day=season.ends_on)

        [filling] = found.fillings
        assert self.codes(found)[:2] == ["forecast_short", "interval"]
        assert filling.forecast().short.tolist() == [filling.short] * 3

    def test_of_a_closed_season(self, fill, look, season, white):
        fill()
        want(season, white, 8, 90)

        found = look(day=date(2027, 2, 1))

        assert self.codes(found) == ["closed_short", "at_end", "last"]
        assert all(one.style != "band" for one in found.plots[0].panels[0].series)
        assert (
            found.fillings[0].short
            == 90
            - Fish.objects.filter(
                season=season,
                species=white,
                withdrawn=False,
                progress__gte=Progress.LOGGED,
                length_hundredths_mm__lt=9 * INCH,
            ).count()
        )

    def test_of_targets_that_are_met(self, fill, look, season, white):
        fill()
        want(season, white, 8, 1)

        assert self.codes(look()) == ["met", "pace"]

    def test_of_a_species_without_targets(self, fill, look):
        fill()

        assert self.codes(look()) == ["collected", "no_targets"]

    def test_of_every_species(self, fill, look, season, white, black):
        fill()
        want(season, white, 8, 90)

        found = look(every=True)

        assert [panel.title for panel in found.plots[0].panels] == ["White crappie"]
        assert [row[0].text for row in found.tables[0].rows] == ["White crappie", "Black crappie"]
        table = found.tables[-1]
        wanted = crosstab(season, "species__name").sum()
        assert {
            name: cell.value
            for name, cell in zip(table.heads[1:3], table.rows[0][1:3], strict=True)
        } == wanted.to_dict()


@pytest.fixture
def page(client, lake, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")

    def open_page(name, **query):
        return client.get(reverse(f"seasons:{name}", args=[lake.slug]), query)

    return open_page


@pytest.mark.django_db
class TestPage:
    def test_draws_a_panel_an_arm_and_saves_its_weeks(self, fill, page, season):
        fill()

        shown = page("progress", split="sex", season=season.name)
        saved = page("weeks_csv", split="sex", season=season.name)

        assert len(shown.context["figures"][1].panels) == len(SEXES)
        assert shown.content.decode().count("<svg") > len(SEXES)
        rows = list(csv.reader(io.StringIO(saved.content.decode())))
        table = shown.context["progress"].tables[-1]
        assert [row[0] for row in rows[1:]] == [row[0].parts[0].value for row in table.rows]
        assert int(rows[1][rows[0].index("All")]) == table.rows[0][table_place(table, "All")].value

    def test_takes_few_statements(self, fill, page, django_assert_max_num_queries):
        fill(50)

        with django_assert_max_num_queries(16):
            page("progress", split="reach")

    def test_of_an_unknown_choice_names_the_field_and_shows_the_usual_one(self, fill, page):
        fill(50)

        shown = page("progress", split="moon")

        assert list(shown.context["form"].errors) == ["split"]
        assert shown.context["choice"].split == "arm"

    def test_of_a_lake_without_a_season(self, page, lake):
        Season.objects.all().delete()

        assert page("progress").context["choice"] is None
        assert page("plan").context["season"] is None
        assert page("weeks_csv").status_code == 302
