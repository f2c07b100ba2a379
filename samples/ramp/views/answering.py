"""How the ramp's pages take an entry in, and what they say about the answer to it."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse

from samples.accounts.doors import SignedInRequest
from samples.ramp import forms, services
from samples.ramp.services import HELD_WORDS, Answer, Outcome

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
    [answer] = services.take([entry], by=request.user, now=now)
    if answer.outcome == Outcome.REFUSED:
        form.refuse(answer.errors)
        return page(422)
    tell(request, answer, done=done)
    return onward()


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
