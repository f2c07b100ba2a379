"""The page of targets: how many aged fish are wanted, bin by bin."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake
from samples.targets import forms, services
from samples.targets.queries.changes import target_changes
from samples.targets.queries.choice import CoverageOptions
from samples.targets.queries.wanted import (
    MOST_BINS,
    bins_between,
    saved_targets,
    usual_range,
)
from samples.targets.rules import MEASURED_A_CLASS
from samples.targets.views.coverage_page import options_today
from samples.targets.views.targets_start import Edited, start_of


def edited_targets(options: CoverageOptions, chosen: forms.TargetRange) -> Edited | None:
    chosen.is_valid()
    season = options.season_named(chosen.cleaned_data.get("season", ""))
    lake_species = options.species_coded(chosen.cleaned_data.get("species", ""))
    if season is None or lake_species is None:
        return None
    width = lake_species.bin_width_hundredths_mm
    saved = saved_targets(season, lake_species.species, width)
    first, last = usual_range(options.lake, lake_species, saved)
    lower, below = chosen.cleaned_data.get("from"), chosen.cleaned_data.get("below")
    first = lower.hundredths_mm if lower else first
    last = below.hundredths_mm if below else last
    columns = bins_between(first, last, width, options.unit)[:MOST_BINS]
    shown = {"from": columns[0].from_text, "below": columns[-1].below_text}
    chosen.data = {**shown, **chosen.data}
    return Edited(season, lake_species, saved, columns)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_TARGETS)
def targets(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Edit how many aged fish are wanted, bin by bin."""
    options = options_today(lake)
    chosen = forms.TargetRange(request.GET, options)
    edited = edited_targets(options, chosen)
    if edited is None:
        return render(request, "targets/targets.html", {"lake": lake, "edited": None})
    start = start_of(request, options, edited)
    table = forms.TargetsTable(
        request.POST or None,
        lake=lake,
        arms=start.arms,
        columns=edited.columns,
        wanted=start.wanted,
        saved=edited.saved.wanted,
    )
    if request.method == "POST" and table.is_valid():
        return saved_and_back(request, lake, edited, table)
    context = targets_context(lake, options, edited, table)
    form = table if table.is_bound else start.refused or chosen
    context |= {"form": form, "chosen": chosen, "start": start}
    return render(
        request, "targets/targets.html", context, status=422 if request.method == "POST" else 200
    )


def saved_and_back(
    request: SignedInRequest, lake: Lake, edited: Edited, table: forms.TargetsTable
) -> HttpResponse:
    changed = services.save_targets(
        edited.season,
        edited.lake_species.species,
        wanted=table.wanted(),
        width=edited.lake_species.bin_width_hundredths_mm,
        actor=request.user,
        now=timezone.now(),
    )
    message = f"{changed} targets changed." if changed != 1 else "One target changed."
    messages.success(request, message if changed else "No target changed.")
    chosen = QueryDict(mutable=True)
    chosen["season"] = edited.season.name
    chosen["species"] = edited.lake_species.species.code
    return redirect(f"{reverse('targets:coverage', args=[lake.slug])}?{chosen.urlencode()}")


def targets_context(
    lake: Lake,
    options: CoverageOptions,
    edited: Edited,
    table: forms.TargetsTable,
) -> dict[str, Any]:
    chosen = QueryDict(mutable=True)
    chosen["season"] = edited.season.name
    chosen["species"] = edited.lake_species.species.code
    chosen["from"] = edited.columns[0].from_text
    chosen["below"] = edited.columns[-1].below_text
    return {
        "lake": lake,
        "edited": edited,
        "table": table,
        "species": edited.lake_species.species,
        "query": chosen.urlencode(),
        "kept_range": [(name, chosen[name]) for name in ("from", "below")],
        "other_seasons": [one for one in options.seasons if one.pk != edited.season.pk],
        "changes": target_changes(edited.season, edited.lake_species.species, options.unit),
        "proposal": services.proposal_text(len(table.arms)),
        "measured_least": MEASURED_A_CLASS * len(edited.columns),
        "bins_cut": len(edited.columns) == MOST_BINS,
    }
