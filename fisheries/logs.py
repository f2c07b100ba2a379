"""The log: one line a record, time and level first, and nothing secret in it.

A line never holds a personal link, a statement or the contents of a row: whoever keeps the log
should learn what failed and where, not who fished.
"""

import json
import logging
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from secrets import token_hex
from types import TracebackType
from typing import Any

from fisheries.database import is_outage

LEVELS = ("DEBUG", "INFO", "WARNING", "ERROR", "CRITICAL")
ROOT = f"{Path(__file__).resolve().parent.parent}/"
MOST_FRAMES = 12
MOST_CHARACTERS = 4000

SECRET_PARTS = (
    # Personal links and password links sign somebody in.
    (re.compile(r"/(me|password)/[^/\s'\"]+(/[^/\s'\"]+)?"), r"/\1/..."),
    # What PostgreSQL adds to its first line: rows, keys, statements.
    (re.compile(r"\n(DETAIL|CONTEXT|HINT|QUERY|STATEMENT|LINE \d+):[^\n]*(\n[ \t]*\^)?"), ""),
    # invalid input syntax for type integer: "..."
    (re.compile(r"(invalid input (?:syntax|value) for [^:\n]*:) \"[^\n]*"), r"\1 ..."),
)


@dataclass(slots=True)
class LoggedRequest:
    """One request as the log knows it: its id, and whether its failure has a line already."""

    id: str
    has_line: bool = False


_current: ContextVar[LoggedRequest | None] = ContextVar("logged_request", default=None)


@contextmanager
def request_in_log() -> Iterator[LoggedRequest]:
    """Put an id on every line that is logged meanwhile."""
    token = _current.set(LoggedRequest(token_hex(4)))
    try:
        yield _current.get() or LoggedRequest("-")
    finally:
        _current.reset(token)


def request_id() -> str:
    """Return the id of the request being answered, or a hyphen."""
    current = _current.get()
    return current.id if current else "-"


def without_secrets(text: str) -> str:
    """Take links, statements and row contents out of a text."""
    for pattern, instead in SECRET_PARTS:
        text = pattern.sub(instead, text)
    return text


class PlainFormatter(logging.Formatter):
    """``2026-05-06T17:30:00Z ERROR 4f2a90bc django.request: ...``, one line a record."""

    def format(self, record: logging.LogRecord) -> str:
        words = without_secrets(record.getMessage())
        if record.exc_info and record.exc_info[1]:
            words = f"{words} | {short_trace(record.exc_info[1])}"
        line = " ".join(words.split())[:MOST_CHARACTERS]
        return f"{_time_of(record)} {record.levelname} {request_id()} {record.name}: {line}"


class JsonFormatter(logging.Formatter):
    """One JSON object a line, for a log that a program reads."""

    def format(self, record: logging.LogRecord) -> str:
        words = {
            "time": _time_of(record),
            "level": record.levelname,
            "request": request_id(),
            "logger": record.name,
            "message": without_secrets(record.getMessage())[:MOST_CHARACTERS],
        }
        if record.exc_info and record.exc_info[1]:
            words["error"] = short_trace(record.exc_info[1])
        return json.dumps(words, ensure_ascii=False)


def _time_of(record: logging.LogRecord) -> str:
    return f"{datetime.fromtimestamp(record.created, UTC):%Y-%m-%dT%H:%M:%S}Z"


def short_trace(problem: BaseException) -> str:
    """Return a line with what was raised and by which of our lines, the innermost first."""
    first_line = without_secrets(str(problem)).strip().partition("\n")[0]
    places = " < ".join(_places(problem.__traceback__))
    cause = problem.__cause__
    because = f", from {type(cause).__name__}" if cause else ""
    return f"{type(problem).__name__}: {first_line}{because} at {places or 'no place of ours'}"


def _places(trace: TracebackType | None) -> list[str]:
    found = []
    while trace is not None:
        code = trace.tb_frame.f_code
        if code.co_filename.startswith(ROOT) and "/site-packages/" not in code.co_filename:
            file = code.co_filename.removeprefix(ROOT)
            found.append(f"{file}:{trace.tb_lineno} {code.co_name}")
        trace = trace.tb_next
    return found[::-1][:MOST_FRAMES]


class OneLinePerFailure(logging.Filter):
    """Drop the line that Django adds for a failed request which has a line of its own."""

    def filter(self, record: logging.LogRecord) -> bool:
        current = _current.get()
        if current is None or record.levelno < logging.ERROR:
            return True
        if record.name == "django.request" and current.has_line:
            return False
        current.has_line = True
        return True


class FewOutages(logging.Filter):
    """Let a few lines of an outage through and count the rest: a full disk helps nobody."""

    AT_ONCE = 10
    SECONDS_EACH = 2.0

    def __init__(self) -> None:
        super().__init__()
        self.allowance = float(self.AT_ONCE)
        self.seen_at = time.monotonic()
        self.left_out = 0

    def filter(self, record: logging.LogRecord) -> bool:
        if not _is_of_an_outage(record):
            return True
        now = time.monotonic()
        self.allowance += (now - self.seen_at) / self.SECONDS_EACH
        self.allowance = min(self.allowance, float(self.AT_ONCE))
        self.seen_at = now
        if self.allowance < 1:
            self.left_out += 1
            return False
        self.allowance -= 1
        if self.left_out:
            record.msg = f"{record.getMessage()} ({self.left_out} like it left out)"
            record.args = ()
            self.left_out = 0
        return True


def _is_of_an_outage(record: logging.LogRecord) -> bool:
    problem = record.exc_info[1] if record.exc_info else None
    return (
        getattr(record, "status_code", None) == 503
        or is_outage(problem)
        or (problem is not None and is_outage(problem.__cause__))
    )


def logging_config(level: str, form: str) -> dict[str, Any]:
    """Return the settings of the log for Django and for the web server.

    :raises ValueError: if the level or the form is not known
    """
    if level.upper() not in LEVELS:
        raise ValueError(f"EARSTONE_LOG_LEVEL is {level!r}. Set one of {', '.join(LEVELS)}.")
    formatters = {"plain": "fisheries.logs.PlainFormatter", "json": "fisheries.logs.JsonFormatter"}
    if form not in formatters:
        raise ValueError(f"EARSTONE_LOG_FORMAT is {form!r}. Set plain or json.")
    to_console = {"handlers": ["console"], "level": level.upper(), "propagate": False}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {
            "one_line": {"()": "fisheries.logs.OneLinePerFailure"},
            "few_outages": {"()": "fisheries.logs.FewOutages"},
        },
        "formatters": {name: {"()": place} for name, place in formatters.items()},
        "handlers": {
            "console": {
                "class": "logging.StreamHandler",
                "filters": ["one_line", "few_outages"],
                "formatter": form,
            }
        },
        "root": {"handlers": ["console"], "level": level.upper()},
        "loggers": {
            # Django's own handlers would mail settings about, and print lines of another form.
            "django": {"handlers": [], "level": level.upper(), "propagate": True},
            "django.server": {**to_console, "level": "INFO"},
            # The first line of a start names the version, at whatever level.
            "fisheries.start": {**to_console, "level": "INFO"},
            "gunicorn.error": to_console,
            "gunicorn.access": {"handlers": [], "propagate": False},
        },
    }
