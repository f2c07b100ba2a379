"""What no migration may do while code of the release before it still runs.

During an upgrade, and after a restart in the midst of one, old code meets new tables. So nothing
goes or is renamed in the release that stops using it, and a new column fills itself where old code
inserts without it. A migration that may do so by now says since when, in an attribute of its own:

    class Migration(migrations.Migration):
        # The release whose code no longer needed it as it was.
        safe_since = {"fish.told_by": "0.2.0"}
"""

import re
from dataclasses import dataclass

from django.db import migrations
from django.db.migrations.operations.base import Operation
from django.db.models import NOT_PROVIDED

from tests.upgrade.releases import in_order

REMOVES = re.compile(r"\b(drop|rename)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Fault:
    """Something that old code would stumble over; ``what`` is the key of its allowance."""

    what: str
    why: str


def unsafe(migration, before, *, shipped_in, released):
    """List what is wrong with a migration, in sentences.

    ``before`` is the state of the models ahead of it, ``shipped_in`` the release that brought it
    or None for the next one, ``released`` all releases so far.
    """
    allowed = getattr(migration, "safe_since", {})
    found = []
    state = before.clone()
    for operation in migration.operations:
        after = state.clone()
        operation.state_forwards(migration.app_label, after)
        found += faults(operation, state, after, migration.app_label)
        state = after
    unused = allowed.keys() - {fault.what for fault in found}
    return [
        *(f"{f.what}: {f.why}" for f in found if f.what not in allowed),
        *(f"{what}: safe_since names what this migration does not do" for what in sorted(unused)),
        *_too_early(allowed, shipped_in, released),
    ]


def _too_early(allowed, shipped_in, released):
    for what, since in allowed.items():
        if since not in released:
            yield f"{what}: {since} is no release yet"
        elif shipped_in is not None and in_order(since) >= in_order(shipped_in):
            yield f"{what}: {since} is not before {shipped_in}, which ships this"


def faults(operation: Operation, before, after, app):
    """Yield what an operation does that old code would stumble over."""
    match operation:
        case migrations.SeparateDatabaseAndState():
            for inner in operation.database_operations:
                changed = before.clone()
                inner.state_forwards(app, changed)
                yield from faults(inner, before, changed, app)
        case migrations.DeleteModel():
            yield Fault(operation.name_lower, "the table goes")
        case migrations.RenameModel():
            yield Fault(operation.old_name_lower, "the table is renamed")
        case migrations.AlterModelTable():
            yield Fault(operation.name_lower, "the table is renamed")
        case migrations.RemoveField():
            yield Fault(_key(operation), "the column goes")
        case migrations.RenameField():
            key = f"{operation.model_name_lower}.{operation.old_name_lower}"
            yield Fault(key, "the column is renamed")
        case migrations.AddField() if not _fills_itself(operation.field):
            yield Fault(_key(operation), "a new column that is NOT NULL needs db_default")
        case migrations.AlterField():
            model = app, operation.model_name_lower
            was = before.models[model].fields[operation.name]
            yield from _altered(_key(operation), operation.name, was, operation.field)
        case migrations.RunSQL() if REMOVES.search(str(operation.sql)):
            yield Fault("sql", "the statement drops or renames something")


def _altered(key, name, was, field):
    if _column(was, name) != _column(field, name):
        yield Fault(key, "the column is renamed")
    if _fills_itself(was) and not _fills_itself(field):
        yield Fault(key, "a column that becomes NOT NULL needs db_default, and keeps it")


def _key(operation):
    return f"{operation.model_name_lower}.{operation.name_lower}"


def _fills_itself(field):
    """Tell whether a row may be inserted without naming this column."""
    if field.many_to_many or getattr(field, "generated", False):
        return True
    return field.null or field.db_default is not NOT_PROVIDED


def _column(field, name):
    return field.db_column or (f"{name}_id" if field.many_to_one or field.one_to_one else name)
