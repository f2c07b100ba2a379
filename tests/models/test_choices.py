"""Every column with choices is held to them by the database too, old rows and new."""

from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection
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


@pytest.mark.django_db
def test_a_row_that_does_not_fit_stops_the_migration_and_corrected_it_goes_on(
    party, white, monkeypatch
):
    """Here a choice is taken away, since the database would refuse a row with none of them.

    The whole of an installation is migrated in tests/upgrade.
    """
    migration = import_module("samples.migrations.0002_choices_known_to_the_database")
    fish = make_fish(party, white, told_by="spines")
    column = Fish._meta.get_field("told_by")
    fewer = [choice for choice in column.choices if choice[0] != "spines"]
    monkeypatch.setattr(column, "choices", fewer)
    editor = SimpleNamespace(connection=connection)

    with pytest.raises(ValueError, match=r"samples_fish.told_by holds 'spines'.*Correct them"):
        migration.name_values_that_do_not_fit(apps, editor)
    Fish.objects.filter(pk=fish.pk).update(told_by="pattern")

    migration.name_values_that_do_not_fit(apps, editor)  # raises nothing
