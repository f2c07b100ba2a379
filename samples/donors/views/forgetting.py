"""The page on which a donor is forgotten."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.donors import forms, queries, services
from samples.donors.views.office import donor_at
from samples.models import Lake


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.SEE_DONORS)
def forget(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Say what goes and what stays, and forget the donor once that is confirmed."""
    donor = donor_at(lake, pk)
    if donor.forgotten_at is not None:
        return redirect("donors:donor", lake.slug, pk)
    form = forms.ForgetForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            gone = services.forget_donor(
                donor,
                with_photos=form.cleaned_data["with_photos"],
                actor=request.user,
                now=timezone.now(),
            )
        except services.CannotForget as problem:
            form.add_problem(None, str(problem), code=problem.code)
        else:
            notes = f" {gone.texts} notes and entries changed." if gone.texts else ""
            messages.success(request, f"Donor {pk} is forgotten. The fish stay.{notes}")
            return redirect("donors:donor", lake.slug, pk)
    context = {
        "lake": lake,
        "donor": donor,
        "form": form,
        "given": sum(one.given for one in queries.seasons_of(donor)),
        "photos": queries.photos_of(donor).count(),
        "other_roles": queries.other_roles_of(donor),
        "in_hand": queries.has_vials_in_hand(donor),
        "same_name": queries.with_same_name(donor),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "donors/forget.html", context, status=status)
