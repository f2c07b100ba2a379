"""Where a day begins: the ramp for a guide, the lake's work for everybody else."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from samples.accounts.decorators import (
    SignedInRequest,
    lake_permission_required,
    login_required,
)
from samples.accounts.permissions import (
    RAMP_ONLY,
    Permission,
    lakes_with_permission,
    permissions_of,
    roles_at,
)
from samples.accounts.selectors import lakes_of
from samples.models import Lake
from samples.rules.lake_time import local_day
from samples.today import queries
from samples.today.presenters.checklist import checklist_of
from samples.today.presenters.coverage_pace import coverage_lines
from samples.today.presenters.lakes import lake_lines
from samples.today.presenters.saved_views import views_of


@require_safe
@login_required
def home(request: SignedInRequest) -> HttpResponse:
    """Send a person to where their work is."""
    lakes = lakes_of(request.user)
    if not lakes:
        return render(request, "today/no_lake.html", status=403)
    if len(lakes) > 1:
        return redirect("today:lakes")
    granted = permissions_of(roles_at(request.user, lakes[0]))
    if granted <= RAMP_ONLY:
        return redirect("ramp:log")
    return redirect("today", lakes[0].slug)


@require_safe
@login_required
def lakes(request: SignedInRequest) -> HttpResponse:
    """Show every lake of a person in a line: logged, aged, short, and to resolve."""
    lines = lake_lines(request.user, timezone.now())
    context = {
        "lines": lines,
        "has_numbers": any(not line.is_ramp_only for line in lines),
        "may_add": request.user.is_superuser,
    }
    return render(request, "today/lakes.html", context)


@require_safe
@lake_permission_required(*Permission)
def today(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show what needs this person at this lake today."""
    day = local_day(timezone.now(), lake.time_zone)
    granted = permissions_of(roles_at(request.user, lake))
    if granted <= RAMP_ONLY:
        return redirect("ramp:log")
    season = queries.season_on(lake, day)
    life = queries.where_the_vials_are(lake, season)
    context = {
        "lake": lake,
        "day": day,
        "work": queries.work_waiting(request.user, lake, granted, day),
        "permit_problem": queries.permit_problem(season, day),
        "coverage": coverage_lines(request.user, lake, season, day)
        if Permission.SEE_COVERAGE in granted
        else [],
        "may_find": Permission.MOVE_VIALS in granted,
        "may_renew": Permission.EDIT_WATERS in granted,
        "life": life,
        "vials_in_all": sum(stop.count for stop in life),
        "season": season,
        "checklist": checklist_of(lake, season, granted),
        "saved_views": views_of(request.user, lake, granted),
        "may_log": lake in lakes_with_permission(request.user, Permission.LOG_FISH),
    }
    return render(request, "today/today.html", context)
