"""Quality control: second readings, the reference set, and how readers score on it."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import vials_at
from samples.form_parts import PlainForm
from samples.lab import services
from samples.lab.forms.quality import AskForReadingForm, ReferenceForm, SecondPercentForm
from samples.lab.queries import quality as quality_queries
from samples.lab.services.quality import (
    add_reference,
    ask_for_reading,
    retire_reference,
    withdraw_request,
)
from samples.models import Lake, ReferenceOtolith, SecondReadingRequest, Vial
from samples.rules.lake_time import local_day
from samples.rules.vial_number import grouped

NO_SUCH_VIAL = "No vial of this lake has that number."


@require_safe
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def quality(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show a reader their own scores; the biologist all, the second readings and the set."""
    return _quality_page(request, lake)


def _quality_page(
    request: SignedInRequest, lake: Lake, *, status: int = 200, **sent: PlainForm
) -> HttpResponse:
    sees_all = has_permission(request.user, Permission.DECIDE_AGES, lake)
    season = quality_queries.season_now(lake, local_day(timezone.now(), lake.time_zone))
    context: dict[str, Any] = {
        "lake": lake,
        "season": season,
        "sees_all": sees_all,
        "scores": quality_queries.scores_at(
            lake, season, reader=None if sees_all else request.user
        ),
    }
    if sees_all:
        percent = quality_queries.second_percent(lake)
        arms = quality_queries.second_progress(lake, season)
        context |= {
            # The summary on top speaks of the form that was sent.
            "form": next(iter(sent.values()), None),
            "arms": arms,
            "drawn": sum(arm.drawn for arm in arms),
            "done": sum(arm.done for arm in arms),
            "requests": quality_queries.open_requests(lake),
            "reference": quality_queries.reference_set(lake),
            "percent_form": sent.get("percent_form")
            or SecondPercentForm(initial={"percent": percent}, auto_id="id_percent_%s"),
            "ask_form": sent.get("ask_form") or AskForReadingForm(auto_id="id_ask_%s"),
            "reference_form": sent.get("reference_form")
            or ReferenceForm(auto_id="id_reference_%s"),
        }
    return render(request, "lab/quality.html", context, status=status)


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def set_percent(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Set how many otoliths are read a second time."""
    form = SecondPercentForm(request.POST, auto_id="id_percent_%s")
    if not form.is_valid():
        return _quality_page(request, lake, status=422, percent_form=form)
    services.set_second_percent(
        lake=lake, percent=form.cleaned_data["percent"], actor=request.user, now=timezone.now()
    )
    messages.success(request, f"{form.cleaned_data['percent']}% are read a second time from now.")
    return redirect("lab:quality", lake.slug)


def _vial_of(request: SignedInRequest, lake: Lake, form: PlainForm) -> Vial | None:
    vial = vials_at(request.user, lake).filter(number=form.cleaned_data["vial"]).first()
    if vial is None:
        form.add_problem("vial", NO_SUCH_VIAL, code="unknown_vial")
    return vial


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def ask_second(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Send a hard otolith for another reading."""
    form = AskForReadingForm(request.POST, auto_id="id_ask_%s")
    vial = _vial_of(request, lake, form) if form.is_valid() else None
    if vial is not None:
        try:
            ask_for_reading(
                vial=vial,
                note=form.cleaned_data["note"],
                actor=request.user,
                now=timezone.now(),
            )
        except services.CannotRead as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            messages.success(request, f"{grouped(vial.number)} sent for another reading.")
            return redirect("lab:quality", lake.slug)
    return _quality_page(request, lake, status=422, ask_form=form)


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def unask_second(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take back that a hard otolith was sent for another reading."""
    row = get_object_or_404(SecondReadingRequest, vial__lake=lake, pk=pk)
    withdraw_request(request=row, actor=request.user, now=timezone.now())
    messages.success(request, "Request removed.")
    return redirect("lab:quality", lake.slug)


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def add_to_reference(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Add a vial to the reference set."""
    form = ReferenceForm(request.POST, auto_id="id_reference_%s")
    vial = _vial_of(request, lake, form) if form.is_valid() else None
    if vial is not None:
        said = {name: form.cleaned_data[name] for name in ("age_years", "kind", "source")}
        try:
            add_reference(vial=vial, actor=request.user, now=timezone.now(), **said)
        except services.CannotRead as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            messages.success(request, f"{grouped(vial.number)} added to the reference set.")
            return redirect("lab:quality", lake.slug)
    return _quality_page(request, lake, status=422, reference_form=form)


@require_POST
@lake_permission_required(Permission.DECIDE_AGES)
def retire_from_reference(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take a vial out of the reference set."""
    row = get_object_or_404(ReferenceOtolith, vial__lake=lake, pk=pk)
    retire_reference(row=row, actor=request.user, now=timezone.now())
    messages.success(request, "Removed from the reference set. Its readings stay scored.")
    return redirect("lab:quality", lake.slug)
