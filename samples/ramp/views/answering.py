"""What the ramp's pages say about the answer to an entry."""

from django.contrib import messages
from django.http import HttpRequest

from samples.ramp.services import HELD_WORDS, Answer, Outcome


def tell(request: HttpRequest, answer: Answer, *, done: str) -> None:
    """Say what became of an entry, on the page that comes next."""
    if answer.outcome == Outcome.HELD:
        why = HELD_WORDS[answer.reason]
        words = f"Kept for the office to sort out. {why} Go on with the next fish."
        messages.warning(request, words)
    elif answer.outcome == Outcome.ALREADY_LOGGED:
        messages.success(request, f"{done} It was saved before; it is there once.")
    else:
        messages.success(request, done)
