"""Seasons, and the rules in force."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, Regulation, Season, Species
from samples.rules.lake_time import local_day
from samples.waters import forms, queries, services
from samples.waters.views.form_page import form_page


def seasons_page(lake: Lake) -> str:
    return reverse("waters:seasons", args=[lake.slug])


def regulations_page(lake: Lake) -> str:
    return reverse("waters:regulations", args=[lake.slug])


@require_safe
@lake_permission_required(Permission.EDIT_WATERS)
def seasons(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the seasons, the newest first."""
    context = {"lake": lake, "seasons": queries.seasons_of(lake)}
    return render(request, "waters/seasons.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def add_season(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Add a season."""
    first_day = queries.next_season_starts(lake, local_day(timezone.now(), lake.time_zone))
    form = forms.SeasonForm(request.POST or None, season=None, first_day=first_day)

    def save(cleaned_data: dict[str, Any]) -> str:
        return f"The season {services.add_season(lake, **cleaned_data)} is added."

    title = "Add a season"
    return form_page(request, lake, form, save=save, onward=seasons_page(lake), title=title)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def season(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Change a season."""
    here = get_object_or_404(Season, lake=lake, pk=pk)
    title = f"Season {here}"
    form = forms.SeasonForm(request.POST or None, season=here, first_day=here.starts_on)

    def save(cleaned_data: dict[str, Any]) -> str:
        services.edit_season(here, **cleaned_data)
        return f"The season {here} is saved."

    return form_page(request, lake, form, save=save, onward=seasons_page(lake), title=title)


@require_safe
@lake_permission_required(Permission.EDIT_WATERS)
def regulations(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the rules, the newest first, and mark those in force today."""
    today = local_day(timezone.now(), lake.time_zone)
    context = {
        "lake": lake,
        "today": today,
        "regulations": queries.regulations_of(lake, today),
    }
    return render(request, "waters/regulations.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def add_regulation(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Add a rule from a day on."""
    form = regulation_form(request, lake, Regulation(lake=lake))

    def save(cleaned_data: dict[str, Any]) -> str:
        services.add_regulation(lake, **cleaned_data)
        return "Regulation added."

    title = f"Add a regulation at {lake}"
    lead = "The regulation before it ends on the day this one starts and stays on record."
    onward = regulations_page(lake)
    return form_page(request, lake, form, save=save, onward=onward, title=title, lead=lead)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def regulation(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Edit regulation."""
    here = get_object_or_404(Regulation.objects.select_related("species", "lake"), lake=lake, pk=pk)
    form = regulation_form(request, lake, here)

    def save(cleaned_data: dict[str, Any]) -> str:
        services.edit_regulation(here, **cleaned_data)
        return "Regulation saved."

    title = "Edit regulation"
    lead = "Has the regulation changed? Add a new one with its first day instead."
    onward = regulations_page(lake)
    return form_page(request, lake, form, save=save, onward=onward, title=title, lead=lead)


def regulation_form(request: SignedInRequest, lake: Lake, rule: Regulation) -> forms.RegulationForm:
    choices: list[Species] = [row.species for row in queries.lake_species_of(lake)]
    if rule.species is not None:
        choices.append(rule.species)
    return forms.RegulationForm(
        request.POST or None, unit=lake.length_unit, rule=rule, choices=choices
    )
