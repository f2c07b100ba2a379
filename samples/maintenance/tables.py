"""What a database holds, table by table."""

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder


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


def list_applied_migrations(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the migrations that were applied, as ``app.name``, in order."""
    applied = MigrationRecorder(connection).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in applied)


def list_known_migrations() -> set[str]:
    """Return every migration that this version of the program has, as ``app.name``."""
    loader = MigrationLoader(None)
    known = [*loader.disk_migrations, *loader.replacements]
    return {f"{app}.{name}" for app, name in known}
