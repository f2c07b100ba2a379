"""Every column with choices is held to them by the database too, old rows and new."""

import pytest
from django.apps import apps
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import CheckConstraint

from samples.models import Fish
from tests.factories import make_fish

COLUMNS = [
    (model, field)
    for model in apps.get_app_config("samples").get_models()
    if not model.__name__.startswith("Historical")
    for field in model._meta.concrete_fields
    if field.choices
]


def constraints_of(model, name):
    """List the conditions of a table that are about this column alone."""
    return [
        constraint.condition
        for constraint in model._meta.constraints
        if isinstance(constraint, CheckConstraint)
        and constraint.condition.referenced_base_fields == {name}
    ]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("model", "field"), COLUMNS, ids=[f"{model.__name__}.{field.name}" for model, field in COLUMNS]
)
def test_a_column_takes_its_choices_and_nothing_else(model, field):
    values = [value for value, _ in field.choices]
    unknown = 99 if isinstance(values[0], int) else "?"
    conditions = constraints_of(model, field.name)

    def taken(value):
        return all(condition.check({field.name: value}) for condition in conditions)

    assert conditions
    assert [value for value in values if not taken(value)] == []
    assert not taken(unknown)


BEFORE = [("samples", "0001_initial")]


@pytest.fixture
def old_fish(transactional_db, party, white):
    """Take the database back to its first tables with a fish in it; bring it forward at the end."""
    fish = make_fish(party, white, told_by="spines")
    newest = list(MigrationExecutor(connection).loader.graph.leaf_nodes())
    MigrationExecutor(connection).migrate(BEFORE)
    yield Fish.objects.filter(pk=fish.pk), newest
    Fish.objects.filter(told_by="guess").update(told_by="")
    MigrationExecutor(connection).migrate(newest)


@pytest.mark.once
def test_a_row_that_does_not_fit_stops_the_migration_and_corrected_comes_through(old_fish):
    fish, newest = old_fish
    fish.update(told_by="guess")

    with pytest.raises(ValueError, match=r"samples_fish.told_by holds 'guess'.*Correct them"):
        MigrationExecutor(connection).migrate(newest)
    fish.update(told_by="spines")
    MigrationExecutor(connection).migrate(newest)

    assert fish.get().told_by == "spines"
