"""What a command asks first of its database."""

from django.core.management.base import CommandError
from django.db import connection

from samples.models import Lake


def require_tables() -> None:
    """Raise with what to run where the database has no tables yet.

    :raises CommandError: if it has none
    """
    if Lake._meta.db_table not in connection.introspection.table_names():
        raise CommandError("This database has no tables yet. Run manage.py migrate first.")
