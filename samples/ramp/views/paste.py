"""What a phone could not send, pasted in by the office."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import vials_at
from samples.models import HeldEntry, Lake
from samples.ramp import forms, queries, services
from samples.ramp.entry import (
    Entry,
    PastedEntry,
    Withdrawal,
    announced_in,
    entries_in,
    summarize_entry,
    vials_of_fish,
)
from samples.rules.plain_text import keepable

BECAME = {
    services.Outcome.LOGGED: "Added",
    services.Outcome.ALREADY_LOGGED: "Already here; counts once",
    services.Outcome.HELD: "To resolve",
    services.Outcome.REFUSED: "Not added",
}
COUNTED = {
    services.Outcome.LOGGED: "added",
    services.Outcome.ALREADY_LOGGED: "already here",
    services.Outcome.HELD: "to resolve",
    services.Outcome.REFUSED: "not added",
}
BEGINNING = 60


@dataclass(frozen=True, slots=True)
class PastedRow:
    """One entry of the text and what became of it, in words and in codes."""

    outcome: str
    reason: str
    summary: str
    who: str
    became: str
    why: str
    held: HeldEntry | None


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.SETTLE_HELD)
def paste(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Take in a text; what could not be taken stays in the box, to be mended."""
    if request.method != "POST":
        return render(request, "ramp/paste.html", {"lake": lake, "form": forms.PasteForm()})
    form = forms.PasteForm(request.POST)
    text = form.cleaned_data["text"] if form.is_valid() else ""
    found = entries_in(text)
    if form.is_valid() and not found:
        sentence = "This text has no entry. Paste all of it, to its last line."
        form.add_problem("text", sentence, code="no_entry")
    if not form.is_valid():
        return render(request, "ramp/paste.html", {"lake": lake, "form": form}, status=422)
    # Asked before anything is taken in: a fish that is withdrawn leaves its vial.
    summarize = _summarizer(request, lake, found)
    done = services.ingest_pasted(found, lake=lake, actor=request.user, now=timezone.now())
    left = [one.pasted.text for one in done if not one.is_stored]
    context = {
        "lake": lake,
        "done": [_line(one, summarize) for one in done],
        "in_short": _in_short(done),
        "missing": _missing(text, found),
        "left": left,
        "form": forms.PasteForm(initial={"text": "\n".join(left)}),
    }
    return render(request, "ramp/paste.html", context)


def _summarizer(
    request: SignedInRequest, lake: Lake, found: Sequence[PastedEntry]
) -> Callable[[Entry], str]:
    """Return what summarizes an entry, with the names and numbers that it speaks of."""
    about = [one.entry.about_entry_id for one in found if isinstance(one.entry, Withdrawal)]
    here = queries.numbers_of_fish(vials_at(request.user, lake), about)
    species, vials = queries.species_names(), vials_of_fish(found) | here
    return lambda entry: summarize_entry(entry, species, vials)


def _in_short(done: Sequence[services.PasteResult]) -> str:
    counted = Counter(one.outcome for one in done)
    parts = [f"{counted[one]} {words}" for one, words in COUNTED.items() if counted[one]]
    return f"{', '.join(parts)}."


def _missing(text: str, found: Sequence[PastedEntry]) -> str:
    """Return where the head of the text told of more entries than came."""
    announced = announced_in(text)
    if announced <= len(found):
        return ""
    return (
        f"The text says that it has {announced} entries, and {len(found)} came. "
        "Its end may be missing: ask for the text again, or for another message."
    )


def _line(one: services.PasteResult, summarize: Callable[[Entry], str]) -> PastedRow:
    outcome, became, why = str(one.outcome), BECAME[services.Outcome(one.outcome)], _why(one)
    if one.held is not None and one.held.state == HeldEntry.State.SETTLED:
        outcome = HeldEntry.State.SETTLED
        became, why = "Resolved before", one.held.get_settled_how_display()
    who = str(one.person or (one.pasted.author and f"person {one.pasted.author}"))
    beginning = f"Line {one.pasted.line}: {one.pasted.text[:BEGINNING]} ..."
    summary = summarize(one.pasted.entry) if one.pasted.entry else beginning
    return PastedRow(
        outcome, one.reason, keepable(summary), keepable(who), became, keepable(why), one.held
    )


def _why(one: services.PasteResult) -> str:
    if one.answer is None:
        return one.problem
    if one.answer.outcome == services.Outcome.HELD:
        return services.HELD_WORDS[one.answer.reason]
    return one.answer.message
