"""Trouble of the database that no entry is to blame for: it passes, and the sending comes again."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import Error, InterfaceError, OperationalError

# The database went away, ended a deadlock, or (on SQLite) has no such table or column.
UNAVAILABLE = (InterfaceError, OperationalError)
# The program and the tables are of different releases, as during an upgrade: PostgreSQL,
# appendix A of its manual: undefined_column, undefined_table, not_null_violation.
OTHER_SCHEMA = {"42703", "42P01", "23502"}
NOT_NULL_ON_SQLITE = "SQLITE_CONSTRAINT_NOTNULL"


class TryLater(Exception):
    """Nothing of what was sent is kept, and the same may be sent again as it is."""

    code = "try_later"

    def __init__(self) -> None:
        super().__init__("Not saved: the site is busy or being upgraded. Try again in a minute.")


def is_passing(problem: Exception) -> bool:
    """Tell whether the database is in trouble that the same words will not meet again."""
    if isinstance(problem, UNAVAILABLE):
        return True
    if not isinstance(problem, Error):
        return False
    cause = problem.__cause__
    return (
        getattr(cause, "sqlstate", None) in OTHER_SCHEMA
        or getattr(cause, "sqlite_errorname", None) == NOT_NULL_ON_SQLITE
    )


@contextmanager
def passing_means_try_later() -> Iterator[None]:
    """Stand around a transaction: what passes undoes all of it and is answered as such.

    :raises TryLater: in place of the database's own error
    """
    try:
        yield
    except Error as problem:
        if is_passing(problem):
            raise TryLater from problem
        raise
