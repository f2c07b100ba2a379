"""Where a day begins: the ramp for a guide, the lake's work for everybody else."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from samples.accounts.doors import SignedInRequest, at_lake, signed_in
from samples.accounts.roles import May, grants_of, lakes_where, roles_at
from samples.accounts.scope import lakes_of
from samples.models import Lake
from samples.rules.lake_time import local_day
from samples.today import queries

RAMP_ONLY = {May.LOG_FISH, May.LOG_FOR_OTHERS}


@require_safe
@signed_in
def home(request: SignedInRequest) -> HttpResponse:
    """Send a person to where their work is."""
    lakes = lakes_of(request.user)
    if not lakes:
        return render(request, "today/no_lake.html", status=403)
    if len(lakes) > 1:
        return render(request, "today/lakes.html", {"lakes": lakes})
    granted = grants_of(roles_at(request.user, lakes[0]))
    if granted <= RAMP_ONLY:
        return redirect("ramp:log")
    return redirect("today", lakes[0].slug)


@require_safe
@at_lake(*May)
def today(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Say what needs this person at this lake today."""
    day = local_day(timezone.now(), lake.time_zone)
    granted = grants_of(roles_at(request.user, lake))
    if granted <= RAMP_ONLY:
        return redirect("ramp:log")
    season = queries.season_on(lake, day)
    context = {
        "lake": lake,
        "day": day,
        "work": queries.work_waiting(request.user, lake, granted, day),
        "permit_problem": queries.permit_problem(season, day),
        "coverage": queries.coverage_lines(request.user, lake, day)
        if May.SEE_COVERAGE in granted
        else [],
        "may_find": May.MOVE_VIALS in granted,
        "may_renew": May.EDIT_WATERS in granted,
        "life": queries.where_the_vials_are(lake, season),
        "season": season,
        "may_log": lake in lakes_where(request.user, May.LOG_FISH),
    }
    return render(request, "today/today.html", context)
