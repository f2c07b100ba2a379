"""A new lake, and what a lake takes over from another or from the shared list of species."""

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import (
    SignedInRequest,
    administrator_required,
    lake_permission_required,
)
from samples.accounts.permissions import Permission, lakes_with_permission
from samples.models import Lake
from samples.waters import forms, queries, services
from samples.waters.views.form_page import form_page, reply_to_form, typed_in
from samples.waters.views.species import species_page


@require_http_methods(["GET", "HEAD", "POST"])
@administrator_required
def add_lake(request: SignedInRequest) -> HttpResponse:
    """Add a lake, from scratch, from another lake or from the species catalog."""
    form = forms.AddLake(
        typed_in(request),
        lakes=list(Lake.objects.order_by("name")),
        staff=queries.people_who_sign_in(),
        listed=queries.listed_species(),
        initial={"biologist": request.user.pk},
    )

    def save(cleaned_data: dict[str, Any]) -> tuple[str, str]:
        added = services.add_lake(
            name=cleaned_data["name"],
            length_unit=cleaned_data["length_unit"],
            weight_unit=cleaned_data["weight_unit"],
            time_zone=cleaned_data["time_zone"],
            office_phone=cleaned_data["office_phone"],
            office_address=cleaned_data["office_address"],
            biologist=cleaned_data["biologist"],
            start=services.StartingPoint(
                source=cleaned_data["copy_from"],
                parts=cleaned_data["parts"],
                species=tuple(cleaned_data["species"]),
            ),
            actor=request.user,
            now=timezone.now(),
        )
        is_own = cleaned_data["biologist"] == request.user
        onward = reverse("today", args=[added.lake.slug]) if is_own else reverse("home")
        return " ".join(_what_was_added(added, cleaned_data["biologist"])), onward

    return reply_to_form(request, form, save=save, template="waters/add_lake.html", more={})


def _what_was_added(added: services.LakeAdded, biologist: object) -> list[str]:
    found = [f"{added.lake} is added. {biologist} is its biologist."]
    copied = what_was_copied(added.copied)
    if added.species_from_list:
        count = added.species_from_list
        found.append(f"{count} species added from the list." if count != 1 else "1 species added.")
    return [*found, *copied]


def what_was_copied(copied: services.Copied) -> list[str]:
    """Return in sentences how much was copied, and what was not."""
    counted = [
        (copied.species, "species", "species"),
        (copied.targets, "target", "targets"),
        (copied.regulations, "regulation", "regulations"),
        (copied.printers, "printer correction", "printer corrections"),
    ]
    parts = [f"{n} {one if n == 1 else many}" for n, one, many in counted if n]
    found = [f"Copied: {', '.join(parts)}."] if parts else []
    if copied.targets_left_out:
        species = ", ".join(copied.targets_left_out)
        found.append(f"Targets not copied, because the length bins differ: {species}.")
    return found


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def copy_settings(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Copy settings from another lake that this person sets up too."""
    lakes = [
        one for one in lakes_with_permission(request.user, Permission.EDIT_WATERS) if one != lake
    ]
    form = forms.CopySettings(typed_in(request), lakes=lakes)

    def save(cleaned_data: dict[str, Any]) -> str:
        copied = services.copy_settings(
            cleaned_data["copy_from"],
            lake,
            cleaned_data["parts"],
            actor=request.user,
            now=timezone.now(),
        )
        return " ".join(what_was_copied(copied)) or f"{lake} already has all of it."

    return form_page(
        request,
        lake,
        form,
        save=save,
        onward=reverse("today", args=[lake.slug]),
        title="Copy settings from a lake",
        template="waters/copy.html",
        more={"lakes": lakes},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def add_listed_species(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Add several species of the shared list at once."""
    form = forms.AddListedSpecies(typed_in(request), listed=queries.listed_species(lake))

    def save(cleaned_data: dict[str, Any]) -> str:
        count = services.add_listed_species(lake, cleaned_data["species"])
        return f"{count} species added." if count else "These species were already on the list."

    return form_page(
        request,
        lake,
        form,
        save=save,
        onward=species_page(lake),
        title=f"Add species to {lake}",
        template="waters/add_listed.html",
    )
