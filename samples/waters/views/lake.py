"""The lake on one page, and the lake itself."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake
from samples.rules.lake_time import local_day
from samples.waters import forms, queries, services
from samples.waters.views.form_page import form_page


def home(lake: Lake) -> str:
    return reverse("waters:lake", args=[lake.slug])


@require_safe
@lake_permission_required(Permission.EDIT_WATERS)
def lake(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show how the lake is set up, with a way to change each part."""
    today = local_day(timezone.now(), lake.time_zone)
    context = {
        "lake": lake,
        "today": today,
        "arms": queries.arms_of(lake),
        "lake_species": queries.lake_species_of(lake),
        "groups": queries.groups_at(lake),
        "seasons": queries.seasons_of(lake),
        "regulations": queries.regulations_of(lake, today),
    }
    return render(request, "waters/lake.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def edit_lake(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Change the lake's name, units, time zone and office."""
    shown = {
        "name": lake.name,
        "length_unit": lake.length_unit,
        "weight_unit": lake.weight_unit,
        "time_zone": lake.time_zone,
        "office_phone": lake.office_phone,
        "office_address": lake.office_address,
        "suggest_annuli": lake.suggest_annuli,
    }
    title = f"{lake}: name, units, time zone and office"

    def save(cleaned_data: dict[str, Any]) -> str:
        changed = services.edit_lake(lake, **cleaned_data)
        message = [f"{lake} is saved."]
        if changed.unit_changed:
            unit = lake.get_length_unit_display().split(",")[0]
            message.append(f"Lengths now show in {unit}; stored lengths stay as measured.")
        return " ".join([*message, *changed.new_bins])

    form = forms.EditLake(request.POST or None, initial=shown)
    lead = "A new unit changes entry and display; stored lengths stay as measured."
    return form_page(request, lake, form, save=save, onward=home(lake), title=title, lead=lead)
