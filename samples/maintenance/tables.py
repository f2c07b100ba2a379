"""What a database holds, table by table."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import FileField

from samples.models import LabelPrint, Picture

# Files that are drawn again from what is kept where they are lost: no backup holds them.
_DRAWN_AGAIN = frozenset({(LabelPrint, "file"), (Picture, "tiles")})


@dataclass(frozen=True, slots=True)
class Snapshot:
    """What a dump holds: its rows by table, and the uploads that they name."""

    counts: dict[str, int]
    uploads: list[str]


def list_tables(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of all tables, in order."""
    with connection.cursor() as cursor:
        return sorted(connection.introspection.table_names(cursor))


def count_rows(connection: BaseDatabaseWrapper) -> dict[str, int]:
    """Return how many rows each table has."""
    counts = {}
    with connection.cursor() as cursor:
        for table in list_tables(connection):
            cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(table)}")  # noqa: S608
            counts[table] = int(cursor.fetchone()[0])
    return counts


def queries_of_uploads(tables: Collection[str]) -> Iterator[str]:
    """Yield the SQL that names uploads, of those tables that there are before a migration too."""
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if (model, field.name) in _DRAWN_AGAIN:
                continue
            if isinstance(field, FileField) and model._meta.db_table in tables:
                # Names of ours, and quoted alike by every database.
                yield f'SELECT "{field.column}" FROM "{model._meta.db_table}"'  # noqa: S608


def list_uploads(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of all uploads that rows name, in order; files drawn again are none."""
    names: set[str] = set()
    with connection.cursor() as cursor:
        for sql in queries_of_uploads(list_tables(connection)):
            cursor.execute(sql)
            names.update(name for (name,) in cursor.fetchall() if name)
    return sorted(names)


def list_applied_migrations(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the migrations that were applied, as ``app.name``, in order."""
    applied = MigrationRecorder(connection).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in applied)


def list_known_migrations() -> set[str]:
    """Return every migration that this version of the program has, as ``app.name``."""
    loader = MigrationLoader(None)
    known = [*loader.disk_migrations, *loader.replacements]
    return {f"{app}.{name}" for app, name in known}
