"""Trouble of the database that no entry is to blame for: it passes, and the sending comes again."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import Error

from fisheries.database import is_outage

# The tables are of a later release, and want what this one does not know: not_null_violation in
# appendix A of PostgreSQL's manual.
NOT_NULL = "23502"
NOT_NULL_ON_SQLITE = "SQLITE_CONSTRAINT_NOTNULL"


class TryLater(Exception):
    """Nothing of what was sent is kept, and the same may be sent again as it is."""

    code = "try_later"

    def __init__(self) -> None:
        super().__init__("Not saved: the site is busy or being upgraded. Try again in a minute.")


def is_passing(problem: Exception) -> bool:
    """Return whether the database is in trouble that the same words will not meet again."""
    if is_outage(problem):
        return True
    if not isinstance(problem, Error):
        return False
    cause = problem.__cause__
    return (
        getattr(cause, "sqlstate", None) == NOT_NULL
        or getattr(cause, "sqlite_errorname", None) == NOT_NULL_ON_SQLITE
    )


@contextmanager
def passing_means_try_later() -> Iterator[None]:
    """Turn trouble that passes into `TryLater`; it stands around a transaction, which is undone.

    :raises TryLater: in place of the database's own error
    """
    try:
        yield
    except Error as problem:
        if is_passing(problem):
            raise TryLater from problem
        raise
