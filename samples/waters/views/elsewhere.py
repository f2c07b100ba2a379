"""Figures from elsewhere: what an answer about a length limit rests on beside the lake's fish."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import CreelFigures, Lake, NaturalDeath, ReleaseDeath, Species, TagReturns
from samples.rules.lake_time import local_day
from samples.waters import forms, queries, services
from samples.waters.views.form_page import act_and_redirect, form_page


@dataclass(frozen=True, slots=True)
class FigureKind:
    """One kind of figure: where it is kept, how it is typed, and what its pages say."""

    name: str
    model: Any
    form: type[forms.FigureForm]
    add: Callable[..., services.Figure]
    label: str
    lead: str
    of_an_arm: bool = False
    placed: bool = False

    @property
    def heading(self) -> str:
        return self.label[0].upper() + self.label[1:]


KINDS = {
    kind.name: kind
    for kind in [
        FigureKind(
            name="natural_death",
            model=NaturalDeath,
            form=forms.NaturalDeathForm,
            add=services.add_natural_death,
            label="natural mortality (M)",
            lead="Share of the fish that would die in a year with no fishing. Ages from the lake "
            "give total mortality (Z) only, which includes fishing.",
            of_an_arm=True,
        ),
        FigureKind(
            name="release_death",
            model=ReleaseDeath,
            form=forms.ReleaseDeathForm,
            add=services.add_release_death,
            label="hooking mortality",
            lead="Share of released fish that die of being caught. It varies with season and "
            "depth: enter one figure for each that matters here.",
        ),
        FigureKind(
            name="tag_returns",
            model=TagReturns,
            form=forms.TagReturnsForm,
            add=services.add_tag_returns,
            label="tag returns",
            lead="Fish tagged in one season and tags that anglers returned. They give "
            "exploitation (u).",
            placed=True,
        ),
        FigureKind(
            name="creel_figures",
            model=CreelFigures,
            form=forms.CreelForm,
            add=services.add_creel_figures,
            label="creel survey",
            lead="Estimates from a creel survey of one season. Leave empty what it did not "
            "estimate.",
            placed=True,
        ),
    ]
}


def elsewhere_page(lake: Lake) -> str:
    return reverse("waters:elsewhere", args=[lake.slug])


def row_at(lake: Lake, kind: FigureKind, pk: int) -> services.Figure:
    found: services.Figure = get_object_or_404(kind.model, lake=lake, pk=pk)
    return found


@require_safe
@lake_permission_required(Permission.EDIT_WATERS)
def elsewhere(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show every figure with its source, the newest first, and say what is missing."""
    today = local_day(timezone.now(), lake.time_zone)
    lake_species = queries.lake_species_of(lake)
    figures = {name: queries.figures_of(kind.model, lake) for name, kind in KINDS.items()}
    context = {
        "lake": lake,
        "today": today,
        "figures": figures,
        "missing": {
            name: queries.without_figures(lake_species, rows) for name, rows in figures.items()
        },
        "first_missing": next((name for name, rows in figures.items() if not rows), ""),
        "rules": queries.rules_in_force(lake, today),
    }
    return render(request, "waters/elsewhere.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def add_figure(request: SignedInRequest, lake: Lake, name: str) -> HttpResponse:
    """Enter a figure; those that are there stay."""
    kind = KINDS[name]

    def save(cleaned_data: dict[str, Any]) -> str:
        kind.add(lake, actor=request.user, now=timezone.now(), **cleaned_data)
        return f"{kind.heading}, {cleaned_data['species']}: saved."

    return form_page(
        request,
        lake,
        form_of(request, lake, kind, kind.model(lake=lake)),
        save=save,
        onward=elsewhere_page(lake),
        title=f"Enter {kind.label}",
        lead=kind.lead,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_WATERS)
def figure(request: SignedInRequest, lake: Lake, name: str, pk: int) -> HttpResponse:
    """Put a figure right that was entered wrong."""
    kind = KINDS[name]
    row = row_at(lake, kind, pk)

    def save(cleaned_data: dict[str, Any]) -> str:
        services.edit_figure(row, actor=request.user, now=timezone.now(), **cleaned_data)
        return f"{kind.heading}, {cleaned_data['species']}: saved."

    return form_page(
        request,
        lake,
        form_of(request, lake, kind, row),
        save=save,
        onward=elsewhere_page(lake),
        title=f"Edit {kind.label}",
        lead="Have a newer estimate? Enter it as a new one; this one stays on record.",
        more={
            "remove": reverse(f"waters:remove_{name}", args=[lake.slug, pk]),
            "remove_words": "Remove this estimate",
        },
    )


@require_POST
@lake_permission_required(Permission.EDIT_WATERS)
def remove_figure(request: SignedInRequest, lake: Lake, name: str, pk: int) -> HttpResponse:
    """Take away a figure that should never have been entered."""
    kind = KINDS[name]
    row = row_at(lake, kind, pk)
    return act_and_redirect(
        request,
        lambda: services.remove_figure(row, actor=request.user, now=timezone.now()),
        onward=elsewhere_page(lake),
        refused=elsewhere_page(lake),
        message=f"{kind.heading}, {row.species}: removed.",
    )


def form_of(
    request: SignedInRequest, lake: Lake, kind: FigureKind, row: services.Figure
) -> forms.FigureForm:
    species: list[Species] = [
        one.species for one in queries.lake_species_of(lake) if queries.of_a_kind(one)
    ]
    if row.pk:
        species.append(row.species)
    places: dict[str, Any] = {}
    if kind.of_an_arm or kind.placed:
        places["arms"] = queries.named_arms_of(lake)
    if kind.placed:
        places["seasons"] = queries.seasons_of(lake)
    return kind.form(
        request.POST or None,
        unit=lake.length_unit,
        stored=model_to_dict(row),
        species=species,
        **places,
    )
