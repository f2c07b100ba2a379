"""Holds a column to its choices in the database as well: the list is written once."""

from django.db import models
from django.db.models import Q


def only_choices(
    column: str, choices: type[models.Choices], *, name: str
) -> models.CheckConstraint:
    """Return the constraint that lets only these choices into a column; empty stays empty."""
    return models.CheckConstraint(name=name, condition=Q(**{f"{column}__in": choices.values}))
