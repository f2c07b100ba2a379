"""One state of the database for several reads."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def snapshot() -> Iterator[None]:
    """Let all reads inside see one state of the database, and hold up no writer.

    Nothing is to be written inside. Within a transaction of the caller it is that transaction.
    """
    if connection.in_atomic_block:
        yield
        return
    with _deferred(), transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield


@contextmanager
def _deferred() -> Iterator[None]:
    """Begin transactions on SQLite without the write lock, which ours take for writing."""
    connection.ensure_connection()  # a new one sets its mode anew
    mode = getattr(connection, "transaction_mode", None)
    connection.transaction_mode = None  # type: ignore[attr-defined]
    try:
        yield
    finally:
        connection.transaction_mode = mode  # type: ignore[attr-defined]
