"""Copy everything that one database holds into another one, and compare the two."""

from collections.abc import Callable, Iterator
from itertools import islice, zip_longest
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, connections, models, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.utils import load_backend

AT_ONCE = 2000
# What `migrate` itself puts into an empty database; ours take its place.
MADE_BY_MIGRATE = {"django_content_type", "auth_permission"}
Model = type[models.Model]


class CannotMove(Exception):
    """A move that cannot begin or was undone; the message says why, and the code for programs."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


def open_database(alias: str, settings: dict[str, Any]) -> None:
    """Have a database that is not in the settings under an alias."""
    whole = connections.configure_settings({DEFAULT_DB_ALIAS: settings})[DEFAULT_DB_ALIAS]
    backend: Any = load_backend(whole["ENGINE"])
    connections[alias] = backend.DatabaseWrapper(whole, alias)


def moved_models() -> list[Model]:
    """Return every model with a table, history and join tables among them."""
    found = apps.get_models(include_auto_created=True)
    return [model for model in found if model._meta.managed and not model._meta.proxy]


def move_all(source: str, target: str, report: Callable[[str], None]) -> int:
    """Copy all rows from one database alias to another, and return how many there are.

    One transaction: the target gets everything or nothing. The site must be stopped.

    :raises CannotMove: if the tables do not fit, the target holds rows, or the two differ after
    """
    for alias, name in ((source, "this site's"), (target, "the other")):
        refuse_other_tables(alias, name)
    found = moved_models()
    refuse_rows(target, found)
    moved = 0
    with transaction.atomic(using=source), transaction.atomic(using=target):
        for model in reversed(found):
            if model._meta.db_table in MADE_BY_MIGRATE:
                model._base_manager.using(target).delete()
        for model in found:
            count = copy_rows(model, source, target)
            moved += count
            if count:
                report(f"{count:>9,} {model._meta.db_table}")
        _set_sequences(target, found)
        # Deferred foreign keys speak up here, while all of it can still be undone.
        connections[target].check_constraints()
        for model in found:
            compare_rows(model, source, target)
        compare_sequences(target, found)
    return moved


def refuse_other_tables(alias: str, name: str) -> None:
    """Compare a database's migrations with those of this version.

    :raises CannotMove: if they are not the same
    """
    loader = MigrationLoader(connections[alias])
    known, applied = set(loader.disk_migrations), set(loader.applied_migrations)
    if known - applied:
        raise CannotMove("older_tables", f"Run manage.py migrate on {name} database first.")
    ours = {app for app, _ in known}
    if any(app in ours for app, _ in applied - known):
        raise CannotMove(
            "newer_tables", f"The tables of {name} database are of a later version than this one."
        )


def refuse_rows(alias: str, found: list[Model]) -> None:
    """Look whether a database is empty.

    :raises CannotMove: if it holds anything but what its own migrations put there
    """
    for model in found:
        table = model._meta.db_table
        if table not in MADE_BY_MIGRATE and model._base_manager.using(alias).exists():
            raise CannotMove(
                "not_empty", f"The other database is not empty: {table} has rows. Use a new one."
            )


def _columns(model: Model) -> list[str]:
    return [field.attname for field in model._meta.concrete_fields if not field.generated]


def _rows(model: Model, alias: str) -> models.QuerySet[Any]:
    return model._base_manager.using(alias).order_by("pk")


def copy_rows(model: Model, source: str, target: str) -> int:
    """Copy a table, numbers and all, and return how many rows it has."""
    columns = _columns(model)
    rows = _rows(model, source).values_list(*columns).iterator(chunk_size=AT_ONCE)
    copied = 0
    while batch := list(islice(rows, AT_ONCE)):
        made = [model(**dict(zip(columns, row, strict=True))) for row in batch]
        model._base_manager.using(target).bulk_create(made)
        copied += len(made)
    return copied


def compare_rows(model: Model, source: str, target: str) -> None:
    """Read a table from both databases and compare it row by row.

    :raises CannotMove: if they differ
    """
    columns = _columns(model)
    pairs: Iterator[tuple[Any, Any]] = zip_longest(
        *(
            _rows(model, alias).values_list(*columns).iterator(chunk_size=AT_ONCE)
            for alias in (source, target)
        )
    )
    for number, (before, after) in enumerate(pairs, start=1):
        if before != after:
            table = model._meta.db_table
            raise CannotMove(
                "row_differs", f"Row {number} of {table} differs in the other database."
            )


def _set_sequences(alias: str, found: list[Model]) -> None:
    connection = connections[alias]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), found):
            cursor.execute(statement)


def compare_sequences(alias: str, found: list[Model]) -> None:
    """Look whether the next number of each table is a new one.

    SQLite counts on from the highest number by itself.

    :raises CannotMove: if one would be given twice
    """
    if connections[alias].vendor != "postgresql":
        return
    for model in found:
        pk = model._meta.pk
        if not isinstance(pk, models.AutoField):
            continue
        highest = model._base_manager.using(alias).aggregate(highest=models.Max("pk"))["highest"]
        if highest is None:
            continue
        table = model._meta.db_table
        with connections[alias].cursor() as cursor:
            cursor.execute("SELECT pg_get_serial_sequence(%s, %s)", [f'"{table}"', pk.column])
            sequence = cursor.fetchone()[0]
            cursor.execute(f"SELECT last_value FROM {sequence}")  # noqa: S608 - PostgreSQL's word
            if cursor.fetchone()[0] < highest:
                raise CannotMove("numbers_repeat", f"The numbers of {table} would be given again.")
