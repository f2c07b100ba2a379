"""Doors to the pages of a season; what is behind them is loaded when it is first opened."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def progress(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show how a season fills, week by week, and what it comes to."""
    # Brings in libraries that a process which serves phones starts without.
    from samples.seasons.views.pages import show_progress

    return show_progress(request, lake)


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def weeks_csv(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Return the fish by week as a file."""
    from samples.seasons.views.pages import send_weeks

    return send_weeks(request, lake)


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def plan(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the plan of a season on a page to print."""
    from samples.seasons.views.pages import show_plan

    return show_plan(request, lake)
