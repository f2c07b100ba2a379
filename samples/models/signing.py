"""Saving a row whose history says who changed it, and when."""

from datetime import datetime
from typing import Any

from samples.models.user import User


def save_signed(row: Any, *, actor: User, now: datetime, fields: list[str] | None = None) -> None:
    """Save a row, or these columns of it, and sign its history."""
    _sign(row, actor, now)
    row.save(update_fields=fields)


def delete_signed(row: Any, *, actor: User, now: datetime) -> None:
    """Delete a row, and sign its history."""
    _sign(row, actor, now)
    row.delete()


def _sign(row: Any, actor: User, now: datetime) -> None:
    row._history_user = actor
    row._history_date = now
