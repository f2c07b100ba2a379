"""Species, how each is sampled at the lake, and the words that tell them apart."""

from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, LakeSpecies, Species
from samples.rules.season_days import MonthDay
from samples.waters import forms, queries, services
from samples.waters.views.form_page import act_and_redirect, form_page, move_and_redirect

WINDOW = ("annulus_starts", "annulus_ends")
OFFERED = (
    "The dates of annulus formation are filled in from edge analysis. They hold once you save. "
    "Then recalculate ages under Lab, Consensus ages."
)
SHARED = "All lakes on this site share this list. A lake can override its values."


def species_page(lake: Lake) -> str:
    return reverse("waters:species", args=[lake.slug])


def row_at(lake: Lake, pk: int) -> LakeSpecies:
    return get_object_or_404(
        LakeSpecies.objects.select_related("species", "lake"), lake=lake, pk=pk
    )


@require_safe
@lake_permission_required(Permission.EDIT_WATERS)
def species(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the species in the order of the form at the ramp."""
    context = {
        "lake": lake,
        "lake_species": queries.lake_species_of(lake),
        "groups": queries.groups_at(lake),
        "more": bool(queries.species_to_add(lake)),
    }
    return render(request, "waters/species.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def add_lake_species(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Add a species to the lake."""
    fresh = LakeSpecies(lake=lake, bin_width_hundredths_mm=queries.usual_bin_width(lake))
    form = forms.AddLakeSpecies(
        request.POST or None,
        unit=lake.length_unit,
        row=fresh,
        choices=queries.species_to_add(lake),
    )

    def save(cleaned_data: dict[str, Any]) -> str:
        row = services.add_lake_species(lake, **cleaned_data)
        return f"{row.species} is added, last in the list."

    title = f"Add a species to {lake}"
    return form_page(request, lake, form, save=save, onward=species_page(lake), title=title)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def lake_species(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Change bins, calendar and the lake's own usual values of a species."""
    row = row_at(lake, pk)
    form = forms.LakeSpeciesForm(request.POST or None, unit=lake.length_unit, row=row)
    offered = _offered_window(request, row)
    form.initial.update(offered)

    def save(cleaned_data: dict[str, Any]) -> str:
        changed = services.edit_lake_species(row, **cleaned_data)
        message = [f"{row.species} is saved."]
        if changed.bins and queries.has_targets(row):
            message.append("Targets keep their old length bins: check them.")
        if changed.calendar and queries.has_ages(row):
            message.append("Recalculate ages under Lab, Consensus ages.")
        return " ".join(message)

    return form_page(
        request,
        lake,
        form,
        save=save,
        onward=species_page(lake),
        title=f"{row.species} at {lake}",
        lead=OFFERED if offered else "",
        more={
            "remove": reverse("waters:remove_lake_species", args=[lake.slug, pk]),
            "remove_words": f"Remove {row.species}",
        },
    )


def _offered_window(request: SignedInRequest, row: LakeSpecies) -> dict[str, str]:
    """Return the days of annulus formation that an address offers; none where they are stored."""
    try:
        offered = {name: str(MonthDay.parse(request.GET.get(name, ""))) for name in WINDOW}
    except ValueError:
        return {}
    return {} if all(getattr(row, name) == day for name, day in offered.items()) else offered


@require_POST
@lake_permission_required(Permission.EDIT_WATERS)
def move_lake_species(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Move a species one place."""
    row = row_at(lake, pk)
    return move_and_redirect(
        request, pk, lambda up: services.move_lake_species(row, up=up), onward=species_page(lake)
    )


@require_POST
@lake_permission_required(Permission.EDIT_WATERS)
def remove_lake_species(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take a species off the lake's list."""
    row = row_at(lake, pk)
    return act_and_redirect(
        request,
        partial(services.remove_lake_species, row),
        onward=species_page(lake),
        refused=reverse("waters:lake_species", args=[lake.slug, pk]),
        message=f"{row.species} is removed from {lake}.",
    )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def add_species(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Add a species that no lake has yet."""
    form = forms.SpeciesForm(
        request.POST or None,
        unit=lake.length_unit,
        species=Species(),
        parents=queries.possible_parents(None),
    )

    def save(cleaned_data: dict[str, Any]) -> str:
        made = services.add_species(**cleaned_data)
        return f"{made} is added to the shared list. Choose it below to add it to {lake}."

    onward = reverse("waters:take_up", args=[lake.slug])
    title = "Add an unlisted species"
    return form_page(request, lake, form, save=save, onward=onward, title=title, lead=SHARED)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def edit_species(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Change what is said of a species everywhere: the administrator's alone."""
    if not request.user.is_superuser:
        raise PermissionDenied("Only the administrator can edit the shared species list.")
    here = get_object_or_404(Species, pk=pk)
    title = str(here)
    form = forms.SpeciesForm(
        request.POST or None,
        unit=lake.length_unit,
        species=here,
        parents=queries.possible_parents(here),
    )

    def save(cleaned_data: dict[str, Any]) -> str:
        services.edit_species(here, **cleaned_data)
        return f"{here} is saved for all lakes."

    onward = species_page(lake)
    return form_page(request, lake, form, save=save, onward=onward, title=title, lead=SHARED)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def group(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Change the lake's own words of the helper of a group."""
    here = next((one for one in queries.groups_at(lake) if one.pk == pk), None)
    if here is None:
        raise Http404("No species of this lake is in such a group.")
    title = f"Identification helper: {here}"
    shown = {name: getattr(here, name) for name in forms.GroupForm.base_fields}
    form = forms.GroupForm(request.POST or None, initial=shown)

    def save(cleaned_data: dict[str, Any]) -> str:
        services.edit_group(lake, here, **cleaned_data)
        return f"Helper for {here} saved."

    lead = "The helper only suggests. Hybrid and Not sure are always offered."
    onward = species_page(lake)
    return form_page(request, lake, form, save=save, onward=onward, title=title, lead=lead)
