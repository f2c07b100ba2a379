"""Which data the findings of a lake rest on: a mark that every change of them moves.

Rows with a `FindingsHistory` note their lake as they are written; `atomic_with_revision` moves the
marks of the lakes noted as the last statement of its transaction, so that writers at one lake
queue for it no longer than a commit takes.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from secrets import token_hex
from typing import Any

from django.db import models, transaction
from simple_history.manager import HistoryManager
from simple_history.models import HistoricalRecords

# In place of a lake's id: what all lakes share, such as the names of species.
SHARED = 0
# As many ids as go into one statement.
AT_ONCE = 5_000
MARK_BYTES = 10


class Revision(models.Model):
    """The mark of one lake's data, or of what all lakes share.

    It is drawn anew at each change and not counted up: after a restore a count would come by the
    same numbers again, with other data. A lake without a row has not changed since there are marks.
    """

    about = models.PositiveBigIntegerField(
        primary_key=True, help_text="The id of a lake; 0 for what all lakes share."
    )
    mark = models.CharField(max_length=32)

    def __str__(self) -> str:
        return f"revision of {self.about}"


def read_revision(lake_id: int) -> str:
    """Return the marks of a lake's data and of what all lakes share, in one statement."""
    marks = dict(
        Revision.objects.filter(about__in=[SHARED, lake_id]).values_list("about", "mark").order_by()
    )
    return f"{marks.get(lake_id, '')}.{marks.get(SHARED, '')}"


class _Changes:
    """Lakes whose data changed, and rows that changed whose lake is yet to be looked up."""

    def __init__(self) -> None:
        self.lakes: set[int] = set()
        self.rows: dict[tuple[type[models.Model], str], set[Any]] = {}

    def move(self) -> None:
        """Move the mark of every lake, in the order of their ids: two writers never cross."""
        for (model, path), pks in self.rows.items():
            self.lakes |= _lakes_of(model, path, pks)
        rows = [Revision(about=lake, mark=token_hex(MARK_BYTES)) for lake in sorted(self.lakes)]
        Revision.objects.bulk_create(
            rows, update_conflicts=True, unique_fields=["about"], update_fields=["mark"]
        )


def _lakes_of(model: type[models.Model], path: str, pks: set[Any]) -> set[int]:
    ordered = sorted(pks)
    found: set[int] = set()
    for first in range(0, len(ordered), AT_ONCE):
        rows = model._base_manager.filter(pk__in=ordered[first : first + AT_ONCE]).order_by()
        found.update(rows.exclude(**{path: None}).values_list(path, flat=True).distinct())
    return found


_changes: ContextVar[_Changes | None] = ContextVar("changes", default=None)


@contextmanager
def atomic_with_revision() -> Iterator[None]:
    """Open a transaction that ends by moving the revisions of the lakes it changed.

    Inside another one it is a savepoint, and the outer one moves them.
    """
    if _changes.get() is not None:
        with transaction.atomic():
            yield
        return
    changes = _Changes()
    token = _changes.set(changes)
    try:
        with transaction.atomic():
            yield
            changes.move()
    finally:
        _changes.reset(token)


@contextmanager
def _collected() -> Iterator[_Changes]:
    """Yield the changes of the open transaction; those of none are moved at once."""
    changes = _changes.get()
    if changes is not None:
        yield changes
        return
    changes = _Changes()
    yield changes
    changes.move()


def note_lakes(*lake_ids: int) -> None:
    """Note that findings of these lakes read something else now; `SHARED` stands for all."""
    with _collected() as changes:
        changes.lakes.update(lake_ids)


def note_rows(model: type[models.Model], pks: Iterable[Any], *, lake: str) -> None:
    """Note the same of the lakes of rows, each found along a path such as ``fish__lake``."""
    with _collected() as changes:
        changes.rows.setdefault((model, lake), set()).update(pks)


class _NotingManager(HistoryManager):  # type: ignore[misc]
    """The manager of a history that is written in bulk, too."""

    def bulk_history_create(self, objs: Any, *args: Any, **kwargs: Any) -> Any:
        made = super().bulk_history_create(objs, *args, **kwargs)
        _note(objs)
        return made


class FindingsHistory(HistoricalRecords):  # type: ignore[misc]
    """The history of a table that findings read: what is written into it moves a revision.

    ``lake`` is the path to the lake of a row; None where all lakes share the table. ``without``
    names columns that are no part of the history.
    """

    lakes: dict[type[models.Model], str | None] = {}

    def __init__(self, *, lake: str | None = "lake", without: tuple[str, ...] = ()) -> None:
        super().__init__(history_manager=_NotingManager, excluded_fields=list(without))
        self.lake = lake

    def contribute_to_class(self, cls: type[models.Model], name: str) -> None:
        self.lakes[cls] = self.lake
        super().contribute_to_class(cls, name)

    def create_historical_record(
        self, instance: models.Model, history_type: str, using: str | None = None
    ) -> None:
        super().create_historical_record(instance, history_type, using=using)
        _note([instance])


def _note(rows: Iterable[models.Model]) -> None:
    with _collected() as changes:
        for row in rows:
            path = FindingsHistory.lakes[type(row)]
            if path is None:
                changes.lakes.add(SHARED)
            else:
                _follow(changes, row, path)


def _follow(changes: _Changes, row: Any, path: str) -> None:
    """Follow a path to a lake as far as rows are in memory; note the row it ends at otherwise.

    That is the row which another belongs to, where there is one: the other may be gone by the end.
    """
    name, _, rest = path.partition("__")
    if not rest:
        changes.lakes.add(row.pk if name == "pk" else getattr(row, f"{name}_id"))
        return
    field = row._meta.get_field(name)
    if field.is_cached(row) and field.get_cached_value(row) is not None:
        _follow(changes, field.get_cached_value(row), rest)
    elif field.concrete:
        changes.rows.setdefault((field.related_model, rest), set()).add(getattr(row, field.attname))
    else:
        changes.rows.setdefault((type(row), path), set()).add(row.pk)
