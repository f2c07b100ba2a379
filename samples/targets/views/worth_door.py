"""The door to the worth of one more fish; what is behind it is loaded when it is first opened."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def worth(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the cells by what one more aged fish of each is worth, and what so many would tell."""
    # Brings in libraries that a process which serves phones starts without.
    from samples.targets.views.worth_page import show_worth

    return show_worth(request, lake)
