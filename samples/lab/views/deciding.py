"""Deciding the age of one fish, taking readings back, and the rule of a lake for consensus."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import vials_at
from samples.lab import forms, services
from samples.lab.presenters.deciding import decision_page, number_after
from samples.lab.views.ages import fish_of
from samples.models import Age, AgeDecision, Lake, Reading
from samples.rules import vial_number

Outcome = AgeDecision.Outcome


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.DECIDE_AGES)
def decide(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Show the readings of one fish side by side, decide its age, and go on to the next."""
    fish = fish_of(request.user, lake, number)
    if fish.vial is not None:
        services.note_length_seen(vial=fish.vial, person=request.user, now=timezone.now())
    page = decision_page(request.user, lake, fish)
    if request.method != "POST":
        form = forms.DecideForm(ages=page.ages, initial={"how": page.likely_how})
        context = {"lake": lake, "page": page, "form": form, "seen": page.seen}
        return render(request, "lab/decide.html", context)
    form = forms.DecideForm(request.POST, ages=page.ages)
    # After a slip in the form the page still speaks for what the decider saw at first.
    seen = request.POST.get("seen", "")
    if form.is_valid():
        waiting = page.waiting
        try:
            made = services.decide(
                fish=fish,
                actor=request.user,
                now=timezone.now(),
                seen=seen,
                **form.facts(),
            )
        except services.CannotDecide as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
            # What was decided meanwhile belongs on the page that says so.
            page = decision_page(request.user, lake, fish)
            seen = page.seen
        else:
            messages.success(request, _saved(number, made))
            return _onward(lake, number, waiting)
    context = {"lake": lake, "page": page, "form": form, "seen": seen}
    return render(request, "lab/decide.html", context, status=422)


def _saved(number: str, made: AgeDecision) -> str:
    words = vial_number.grouped(number)
    if made.outcome == Outcome.AGE:
        return f"{words}: age {made.age_years} is decided."
    return {
        Outcome.NO_AGE: f"{words} gets no age.",
        Outcome.SECTION: f"{words} is on the list of vials to section.",
        Outcome.THIRD_READER: f"{words} waits for a third reader.",
    }[Outcome(made.outcome)]


def _onward(lake: Lake, number: str, waiting: list[str]) -> HttpResponse:
    """Go on to the next vial of the list; from a vial that was not on it, back to its page."""
    if number not in waiting:
        return redirect("lab:vial", lake.slug, number)
    following = number_after(number, waiting)
    if not following:
        return redirect("lab:settle", lake.slug)
    return redirect("lab:decide", lake.slug, following)


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def undo(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Take a decision back."""
    fish = fish_of(request.user, lake, number)
    try:
        services.undo_decision(
            fish=fish, actor=request.user, now=timezone.now(), seen=request.POST.get("seen")
        )
    except services.CannotDecide as problem:
        messages.error(request, problem.sentence, extra_tags=problem.code)
    else:
        messages.success(request, "Decision undone. The age again follows from the readings.")
    return redirect("lab:vial", lake.slug, number)


@require_POST
@lake_permission_required(Permission.READ_OTOLITHS)
def withdraw_reading(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take back a reading that was typed for the wrong vial; ask first if others rest on it."""
    found = Reading.objects.filter(vial__in=vials_at(request.user, lake), pk=pk)
    if not has_permission(request.user, Permission.DECIDE_AGES, lake):
        found = found.filter(reader=request.user)
    # One that is not there any more, or is somebody else's: nothing tells which.
    reading = get_object_or_404(found.select_related("vial", "reader"))
    number = reading.vial.number
    onward = _after_withdrawal(request, lake, number)
    try:
        services.withdraw_reading(
            reading=reading,
            actor=request.user,
            now=timezone.now(),
            note=request.POST.get("note", ""),
            confirmed="confirmed" in request.POST,
        )
    except services.WithdrawalNeedsConfirmation as asked:
        context = {"lake": lake, "reading": reading, "asked": asked, "onward": onward}
        return render(request, "lab/delete_reading.html", context, status=422)
    except services.CannotWithdrawReading as problem:
        messages.error(request, problem.sentence, extra_tags=problem.code)
    else:
        messages.success(request, _withdrawn(number))
    return redirect(onward)


def _withdrawn(number: str) -> str:
    words = f"{vial_number.grouped(number)}: reading deleted."
    stands = Age.objects.filter(fish__vial__number=number, standing__in=services.DECISIONS)
    return f"{words} The decision on its age stands." if stands.exists() else words


def _after_withdrawal(request: SignedInRequest, lake: Lake, number: str) -> str:
    if request.POST.get("from") == "vial":
        return reverse("lab:vial", args=[lake.slug, number])
    query = f"?{request.GET.urlencode()}" if request.GET else ""
    return f"{reverse('lab:grid', args=[lake.slug])}{query}#row-{number}"


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def consensus_rule(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Set for which fish one reader's age is enough."""
    form = forms.ConsensusRuleForm(request.POST or None, lake=lake)
    lost = 0
    if request.method == "POST" and form.is_valid():
        try:
            changed = services.set_consensus_rule(
                lake=lake,
                rule=form.rule,
                now=timezone.now(),
                confirmed="confirmed" in request.POST,
            )
        except services.RuleNeedsConfirmation as asked:
            lost = asked.lost
        else:
            ages = f"{changed} age{'' if changed == 1 else 's'} changed." if changed else ""
            messages.success(request, f"Consensus rule saved. {ages or 'No age changed.'}")
            return redirect("lab:consensus_rule", lake.slug)
    context = {"lake": lake, "form": form, "lost": lost}
    status = 422 if request.method == "POST" else 200
    return render(request, "lab/consensus_rule.html", context, status=status)
