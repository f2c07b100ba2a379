"""Possible swapped vials: each with its neighbors and what to do, and noting that it is right."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import vials_at
from samples.lab import forms, services
from samples.lab.computed import possible_swaps
from samples.models import Lake
from samples.rules import vial_number

if TYPE_CHECKING:
    from samples.lab.presenters.possible_swaps import PossibleSwap, ShiftedRun

# Of the longest lists the rest follows once these are checked.
MOST_SHOWN = 40


@require_safe
@never_cache
@lake_permission_required(Permission.DECIDE_AGES)
def swapped(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List vials whose otolith does not go with the length of their fish."""
    return _page(request, lake)


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def check_vials(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Note that vials were looked at and hold the otoliths of their fish."""
    form = forms.CheckVialsForm(request.POST, auto_id="id_sent_%s")
    if not form.is_valid():
        return _page(request, lake, form, status=422)
    numbers = form.cleaned_data["numbers"]
    try:
        services.mark_vials_checked(
            vials=vials_at(request.user, lake).filter(number__in=numbers),
            note=form.cleaned_data["note"],
            actor=request.user,
            now=timezone.now(),
        )
    except services.CannotCheck as problem:
        messages.error(request, problem.sentence, extra_tags=problem.code)
    else:
        count = len(numbers)
        what = vial_number.grouped(numbers[0]) if count == 1 else f"{count} vials"
        messages.success(request, f"{what} marked checked.")
    return redirect("lab:swapped", lake.slug)


def _page(
    request: SignedInRequest,
    lake: Lake,
    sent: forms.CheckVialsForm | None = None,
    *,
    status: int = 200,
) -> HttpResponse:
    found = possible_swaps(lake)
    context = {
        "lake": lake,
        "found": found,
        # The summary on top speaks of the form that was sent.
        "form": sent,
        "runs": list(_with_forms(found.runs, sent)),
        "singles": list(_with_forms(found.singles[:MOST_SHOWN], sent)),
        "more": max(0, len(found.singles) - MOST_SHOWN),
    }
    return render(request, "lab/swapped.html", context, status=status)


def _with_forms(
    items: list[ShiftedRun] | list[PossibleSwap], sent: forms.CheckVialsForm | None
) -> Iterator[tuple[ShiftedRun | PossibleSwap, forms.CheckVialsForm]]:
    """Put a form beside each; the one that was sent comes back with what was typed."""
    for item in items:
        numbers = " ".join(item.numbers)
        if sent is not None and sent.data.get("numbers") == numbers:
            yield item, sent
        else:
            initial = {"numbers": numbers}
            yield item, forms.CheckVialsForm(initial=initial, auto_id=f"id_{item.numbers[0]}_%s")
