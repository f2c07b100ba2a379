"""Reads what a phone sends, so that no entry of a batch spoils the others."""

import json
import math
import re
from collections.abc import Mapping
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from rest_framework.exceptions import APIException, ErrorDetail, ParseError, Throttled
from rest_framework.parsers import JSONParser
from rest_framework.response import Response
from rest_framework.views import exception_handler

# No count, length or year has as many digits. A longer one is left as text, and its own field
# says what to type.
MOST_DIGITS = 30
# The batch, its list and the entry are three; what an entry may nest is read in `words.py`.
MOST_LEVELS = 16
TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[\[{]|[\]}]', re.DOTALL)
NOT_JSON = "This is not well-formed JSON. Send it again."
MEGABYTE = 1024 * 1024


class TooLarge(APIException):
    """More than any phone has to send at once."""

    status_code = 413
    default_code = "too_large"


def answer_failure(problem: Exception, context: dict[str, Any]) -> Response | None:
    """Answer in words what the framework would answer with a page."""
    if isinstance(problem, RequestDataTooBig):
        most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE // MEGABYTE
        problem = TooLarge(f"This is more than {most} MB. Send fewer entries at a time.")
    wait: float | None = getattr(problem, "wait", None)
    if isinstance(problem, Throttled) and wait is not None:
        seconds = math.ceil(wait)
        problem.detail = ErrorDetail(f"Too much at once. This phone sends again in {seconds} s.")
    return exception_handler(problem, context)


class JSONBody(JSONParser):
    """Takes JSON that is well formed, whatever numbers and depths stand in it."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        try:
            return _decoded(stream.read().decode())
        except ValueError as problem:
            raise ParseError(NOT_JSON) from problem


def _decoded(text: str) -> Any:
    try:
        return _loads(text)
    except RecursionError:
        return _loads(_without_depths(text))


def _loads(text: str) -> Any:
    return json.loads(text, parse_int=_whole, parse_float=_fraction, parse_constant=str)


def _whole(digits: str) -> int | str:
    return int(digits) if len(digits) <= MOST_DIGITS else digits


def _fraction(digits: str) -> float | str:
    number = float(digits)
    return number if math.isfinite(number) else digits


def _without_depths(text: str) -> str:
    """Cut out what lies deeper than any entry, which its reader then refuses by its field."""
    parts: list[str] = []
    kept_to = level = 0
    for token in TOKEN.finditer(text):
        sign = token[0]
        if sign in "[{":
            level += 1
            if level == MOST_LEVELS + 1:
                parts.append(text[kept_to : token.start()])
        elif sign in "]}":
            if level == MOST_LEVELS + 1:
                parts.append("null")
                kept_to = token.end()
            level -= 1
    if level > MOST_LEVELS:
        raise ValueError("what is opened is never closed")
    return "".join([*parts, text[kept_to:]])
