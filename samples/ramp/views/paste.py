"""What a phone could not send, pasted in by the office."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from samples.accounts.doors import SignedInRequest, at_lake
from samples.accounts.roles import May
from samples.models import Lake, User
from samples.ramp import forms, services
from samples.ramp.entry import entries_in, told_shortly

ANSWERS = {
    services.Outcome.LOGGED: "Taken in.",
    services.Outcome.ALREADY_LOGGED: "It was here already; it counts once.",
}


@dataclass(frozen=True, slots=True)
class Line:
    """One entry of the text and what became of it, in words."""

    words: str
    person: User | None
    became: str


@require_http_methods(["GET", "HEAD", "POST"])
@at_lake(May.SETTLE_HELD)
def paste(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take in a text; what could not be taken stays in the box, to be mended."""
    if request.method != "POST":
        return render(request, "ramp/paste.html", {"lake": lake, "form": forms.PasteForm()})
    form = forms.PasteForm(request.POST)
    found = entries_in(form.cleaned_data["text"]) if form.is_valid() else []
    if form.is_valid() and not found:
        form.add_error("text", "No entry is in this text. Paste all of it, to its last line.")
    if not form.is_valid():
        return render(request, "ramp/paste.html", {"lake": lake, "form": form}, status=422)
    done = services.take_pasted(found, lake=lake, by=request.user, now=timezone.now())
    left = [one.found.text for one in done if not one.taken]
    if not left:
        messages.success(request, f"{len(done)} entries are taken in, or were here already.")
    context = {
        "lake": lake,
        "done": [_line(one) for one in done],
        "form": forms.PasteForm(initial={"text": "\n".join(left)}),
    }
    return render(request, "ramp/paste.html", context)


def _line(one: services.Pasted) -> Line:
    entry = one.found.entry
    words = told_shortly(entry) if entry else f"{one.found.text[:80]} ..."
    return Line(words, one.person, _became(one))


def _became(one: services.Pasted) -> str:
    if one.answer is None:
        return f"Not taken. {one.problem}"
    if one.answer.outcome == services.Outcome.HELD:
        return f"Held. {services.HELD_WORDS[one.answer.reason]}"
    if one.answer.outcome == services.Outcome.REFUSED:
        why = " ".join(text for found in one.answer.errors.values() for text in found)
        return f"Not taken. {why}"
    return ANSWERS[one.answer.outcome]
