"""What the demo's surveys found: close to what is true of each arm, and the same each time."""

from decimal import Decimal

import pytest

from samples.management.scenario import surveys, truth
from samples.management.scenario.draw import SEED
from samples.management.scenario.load import at_noon
from samples.management.scenario.load_waters import (
    load_species,
    make_figures,
    make_lake,
    make_people,
    make_seasons,
)
from samples.models import CreelFigures, NaturalDeath, ReleaseDeath, TagReturns
from samples.science.rates import exploitation_from_tags

SEASONS = range(len(surveys.TAGGING.tags_out))


def estimate(arm, season):
    tags = surveys.TAGGING
    return exploitation_from_tags(
        tags.tags_out[season],
        surveys.draw_tag_returns()[arm.name, season],
        reporting=(tags.reporting_least, tags.reporting_most),
        tags_kept=tags.tags_kept,
        survived=tags.survived,
    )


def test_tags_tell_what_is_taken_in_each_arm():
    for arm in truth.ARMS:
        true = surveys.taken_in_a_year(arm.stock(truth.WHITE))
        found = [estimate(arm, season) for season in SEASONS]

        assert all(one.lower < true < one.upper for one in found)
        assert sum(one.u for one in found) / len(found) == pytest.approx(true, rel=0.25)


def test_tags_are_drawn_by_their_seed():
    assert surveys.draw_tag_returns() == surveys.draw_tag_returns()
    assert surveys.draw_tag_returns() != surveys.draw_tag_returns(seed=SEED + 1)


def test_natural_death_spans_what_is_true_of_all_arms_but_the_deadly_one():
    assert surveys.natural_death_percent(truth.WHITE) == (19, 30, 35)


@pytest.mark.django_db
def test_figures_are_entered_with_their_source():
    species = load_species()
    lake = make_lake(species)
    people = make_people(lake, "pale rings on slate")
    seasons = make_seasons(lake, truth.TODAY)

    make_figures(lake, seasons, species, actor=people["aubrey"], at=at_noon)

    rows = [
        *NaturalDeath.objects.all(),
        *ReleaseDeath.objects.all(),
        *TagReturns.objects.all(),
        *CreelFigures.objects.all(),
    ]
    assert len(rows) == 5 + 3 + 8 + 15 + 15
    assert all(row.source and row.entered_by == people["aubrey"] for row in rows)
    assert all(row.as_of <= row.entered_at.date() <= truth.TODAY for row in rows)
    hobbin = CreelFigures.objects.get(arm__name="Hobbin", season__name="2025")
    assert hobbin.smallest_kept_hundredths_mm == 24_892
    assert hobbin.released == Decimal("0.71")
