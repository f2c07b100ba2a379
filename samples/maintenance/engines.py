"""Which module dumps and loads a database."""

from types import ModuleType

from django.db.backends.base.base import BaseDatabaseWrapper

from samples.maintenance import postgresql, sqlite

BY_VENDOR: dict[str, ModuleType] = {"postgresql": postgresql, "sqlite": sqlite}
NAMES = {"postgresql": "PostgreSQL", "sqlite": "SQLite"}


def engine_of(connection: BaseDatabaseWrapper) -> ModuleType:
    return BY_VENDOR[connection.vendor]
