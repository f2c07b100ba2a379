"""How the ramp's pages take an entry in, and what they say about the answer to it."""

import logging
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS
from django.http import HttpRequest, HttpResponse

from samples.accounts.doors import SignedInRequest
from samples.models import User
from samples.ramp import forms, services
from samples.ramp.entry import Entry
from samples.ramp.services import HELD_WORDS, Answer, Outcome

log = logging.getLogger(__name__)

# Shows the page again with what was typed; the number is the status of the answer.
Page = Callable[[int], HttpResponse]


def take_said(
    request: SignedInRequest,
    form: forms.SaidForm,
    page: Page,
    *,
    now: datetime,
    done: str,
    onward: Callable[[], HttpResponse],
    still_asks: Callable[[Any], bool] = lambda entry: False,
    **said: Any,
) -> HttpResponse:
    """Take in what a form says, or show its page again.

    The page comes again with what cannot be read, with questions still open, or with why the
    entry was refused; ``done`` is told of none of these.
    """
    entry = form.read_entry(now=now, **said)
    if entry is None or still_asks(entry):
        return page(422)
    answer = take_one(entry, by=request.user, now=now)
    if answer.outcome == Outcome.REFUSED:
        form.refuse(answer.errors)
        return page(422)
    tell(request, answer, done=done)
    return onward()


def take_one(entry: Entry, *, by: User, now: datetime) -> Answer:
    """Take one entry in; trouble that passes is told like a refusal, and what was typed stays."""
    try:
        [answer] = services.take([entry], by=by, now=now)
    except services.TryLater as problem:
        log.exception("Entry %s could not be taken", entry.entry_id)
        errors: dict[str, list[str]] = {NON_FIELD_ERRORS: [str(problem)]}
        return Answer(entry.entry_id, Outcome.REFUSED, problem.code, errors)
    return answer


def tell(request: HttpRequest, answer: Answer, *, done: str) -> None:
    """Say what became of an entry, on the page that comes next."""
    if answer.outcome == Outcome.REFUSED:
        messages.error(request, answer.why)
    elif answer.outcome == Outcome.HELD:
        why = HELD_WORDS[answer.reason]
        words = f"Kept for the office to sort out. {why} Go on with the next fish."
        messages.warning(request, words)
    elif answer.outcome == Outcome.ALREADY_LOGGED:
        messages.success(request, f"{done} It was saved before; it is there once.")
    else:
        messages.success(request, done)
