"""Arms and their reaches."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Arm, Lake, Reach
from samples.waters import forms, queries, services
from samples.waters.views.form_page import act_and_redirect, form_page, move_and_redirect


def arms_page(lake: Lake) -> str:
    return reverse("waters:arms", args=[lake.slug])


def arm_page(lake: Lake, arm: Arm) -> str:
    return reverse("waters:arm", args=[lake.slug, arm.pk])


def reach_at(lake: Lake, pk: int) -> Reach:
    return get_object_or_404(Reach.objects.select_related("arm__lake"), arm__lake=lake, pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def arms(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the arms in order, and add one."""

    def save(cleaned_data: dict[str, Any]) -> str:
        arm = services.add_arm(lake, **cleaned_data)
        return f"{arm} is added, last in the list."

    return form_page(
        request,
        lake,
        forms.Named(request.POST or None),
        save=save,
        onward=arms_page(lake),
        title=f"Arms of {lake}",
        template="waters/arms.html",
        more={"arms": queries.arms_of(lake)},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def arm(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one arm: rename it, and see its reaches."""
    here = get_object_or_404(Arm, lake=lake, pk=pk)
    title = str(here)

    def save(cleaned_data: dict[str, Any]) -> str:
        services.rename_arm(here, **cleaned_data)
        return f"The arm is now called {here}."

    return form_page(
        request,
        lake,
        forms.Named(request.POST or None, initial={"name": here.name}),
        save=save,
        onward=arms_page(lake),
        title=title,
        template="waters/arm.html",
        more={"arm": here, "reaches": queries.reaches_of(here)},
    )


@require_POST
@lake_permission_required(Permission.EDIT_WATERS)
def move_arm(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Move an arm one place."""
    here = get_object_or_404(Arm, lake=lake, pk=pk)
    return move_and_redirect(
        request, pk, lambda up: services.move_arm(here, up=up), onward=arms_page(lake)
    )


@require_POST
@lake_permission_required(Permission.EDIT_WATERS)
def remove_arm(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Remove an arm where nothing was sampled."""
    here = get_object_or_404(Arm, lake=lake, pk=pk)
    return act_and_redirect(
        request,
        partial(services.remove_arm, here),
        onward=arms_page(lake),
        refused=arm_page(lake, here),
        message=f"{here} is removed.",
    )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def add_reach(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Add a reach to an arm."""
    here = get_object_or_404(Arm, lake=lake, pk=pk)

    def save(cleaned_data: dict[str, Any]) -> str:
        return f"{services.add_reach(here, **cleaned_data)} is added to {here}."

    return form_page(
        request,
        lake,
        forms.Named(request.POST or None),
        save=save,
        onward=arm_page(lake, here),
        title=f"Add a reach to {here}",
        lead="Such as lower, middle or upper. No location finer than a reach is kept.",
    )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def reach(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Rename a reach."""
    here = reach_at(lake, pk)
    title = f"{here}, {here.arm}"

    def save(cleaned_data: dict[str, Any]) -> str:
        services.rename_reach(here, **cleaned_data)
        return f"The reach is now called {here}."

    return form_page(
        request,
        lake,
        forms.Named(request.POST or None, initial={"name": here.name}),
        save=save,
        onward=arm_page(lake, here.arm),
        title=title,
        more={"remove": reverse("waters:remove_reach", args=[lake.slug, pk])},
    )


@require_POST
@lake_permission_required(Permission.EDIT_WATERS)
def move_reach(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Move a reach one place."""
    here = reach_at(lake, pk)
    return move_and_redirect(
        request, pk, lambda up: services.move_reach(here, up=up), onward=arm_page(lake, here.arm)
    )


@require_POST
@lake_permission_required(Permission.EDIT_WATERS)
def remove_reach(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Remove a reach where nothing was sampled."""
    here = reach_at(lake, pk)
    return act_and_redirect(
        request,
        partial(services.remove_reach, here),
        onward=arm_page(lake, here.arm),
        refused=reverse("waters:reach", args=[lake.slug, pk]),
        message=f"{here} is removed from {here.arm}.",
    )
