"""How the ramp's pages ingest an entry, and the message about the answer to it."""

import logging
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS
from django.http import HttpRequest, HttpResponse

from samples.accounts.decorators import SignedInRequest
from samples.models import User
from samples.ramp import forms, services
from samples.ramp.entry import Entry
from samples.ramp.services import HELD_WORDS, Answer, Outcome

log = logging.getLogger(__name__)

# Shows the page again with what was typed; the number is the status of the answer.
PageAgain = Callable[[int], HttpResponse]


def submit_entry(
    request: SignedInRequest,
    form: forms.EntryForm,
    page: PageAgain,
    *,
    now: datetime,
    done: str,
    onward: Callable[[], HttpResponse],
    still_asks: Callable[[Any], bool] = lambda entry: False,
    **more: Any,
) -> HttpResponse:
    """Ingest the entry of a form, or show its page again.

    The page comes again with what cannot be read, with questions still open, or with why the
    entry was refused; the message ``done`` is for neither.
    """
    entry = form.read_entry(now=now, **more)
    if entry is None or still_asks(entry):
        return page(422)
    answer = ingest_one(entry, author=request.user, now=now)
    if answer.outcome == Outcome.REFUSED:
        form.refuse(answer.errors, code=answer.reason)
        return page(422)
    add_message(request, answer, done=done)
    return onward()


def ingest_one(entry: Entry, *, author: User, now: datetime) -> Answer:
    """Ingest one entry; trouble that passes is shown like a refusal, and what was typed stays."""
    try:
        [answer] = services.ingest([entry], author=author, now=now)
    except services.TryLater as problem:
        log.exception("Entry %s could not be ingested", entry.entry_id)
        errors: dict[str, list[str]] = {NON_FIELD_ERRORS: [str(problem)]}
        return Answer(entry.entry_id, Outcome.REFUSED, problem.code, errors)
    return answer


def add_message(request: HttpRequest, answer: Answer, *, done: str) -> None:
    """Add a message of what became of an entry, for the page that comes next."""
    if answer.outcome == Outcome.REFUSED:
        messages.error(request, answer.message, extra_tags=answer.reason)
    elif answer.outcome == Outcome.HELD:
        why = HELD_WORDS[answer.reason]
        sentence = f"The office will check this one. {why} Go on with the next fish."
        messages.warning(request, sentence, extra_tags=answer.reason)
    elif answer.outcome == Outcome.ALREADY_LOGGED:
        messages.success(request, f"{done} It was saved before; it is there once.")
    else:
        messages.success(request, done)
