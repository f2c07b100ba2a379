"""The page that the search box of every staff page leads to, the terms, and one vial."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import OF_STAFF, Permission
from samples.accounts.selectors import vials_at
from samples.lab.services import note_length_seen
from samples.models import Lake
from samples.rules.plain_text import keepable
from samples.rules.terms import GROUPS
from samples.search import queries
from samples.search.presenters.vial_page import may_read_blind, vial_page
from samples.vials.forms import FindVial

MOST_TYPED = 100


@require_safe
@lake_permission_required(*OF_STAFF)
def search(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show what is found, by kind; one vial whose whole number was typed is opened at once."""
    text = keepable(request.GET.get("q", "")).strip()[:MOST_TYPED]
    searcher = queries.Searcher.of(request.user, lake)
    form = FindVial({"number": text})
    number = form.cleaned_data["number"] if form.is_valid() else ""
    vials = queries.find_vials(searcher, number)
    if len(vials) == 1 and vials[0].number == number:
        return redirect(queries.address_of_vial(searcher, vials[0]))
    is_words = not text or form.has_error("number", "not_digits")
    groups = queries.search(searcher, text, vials)
    if len(vials) == 1 and sum(len(group.hits) for group in groups) == 1:
        return redirect(queries.address_of_vial(searcher, vials[0]))
    context = {
        "lake": lake,
        "searched": text,
        "groups": groups,
        "total": sum(len(group.hits) for group in groups),
        "problem": "" if is_words else next((words for _, words in form.problems), ""),
        "may_see_fish": Permission.SEE_FISH in searcher.granted,
        "may_see_people": Permission.EDIT_PEOPLE in searcher.granted,
    }
    return render(request, "search/search.html", context)


@require_safe
@lake_permission_required(*OF_STAFF)
def terms(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the terms of the trade, each with its source, at an anchor of its own."""
    return render(request, "search/terms.html", {"lake": lake, "groups": dict(GROUPS)})


@require_safe
@never_cache
@lake_permission_required(Permission.MOVE_VIALS)
def vial(request: SignedInRequest, lake: Lake, number: str) -> HttpResponse:
    """Show everything about one vial: where it is, its fish, its readings and all that happened."""
    vials = vials_at(request.user, lake).select_related("lake", "season", "run", "issued_to")
    found = get_object_or_404(vials, number=number)
    granted = queries.Searcher.of(request.user, lake).granted
    reads_blind = may_read_blind(found, request.user, granted)
    length_shown = not reads_blind or request.GET.get("length") == "shown"
    if length_shown and Permission.READ_OTOLITHS in granted:
        note_length_seen(vial=found, person=request.user, now=timezone.now())
    page = vial_page(found, granted, length_shown=length_shown)
    context = {"lake": lake, "page": page, "reads_blind": reads_blind}
    return render(request, "search/vial.html", context)
