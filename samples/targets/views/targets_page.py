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
from samples.models import Lake, LakeSpecies
from samples.targets import forms, services
from samples.targets.queries.changes import target_changes
from samples.targets.queries.choice import CoverageOptions
from samples.targets.queries.wanted import (
    MOST_BINS,
    bins_between,
    saved_targets,
    usual_range,
)
from samples.targets.rules import MEASURED_A_CLASS, Part
from samples.targets.views.coverage_page import options_today
from samples.targets.views.targets_start import Edited, Start, start_of

PART_HEADS = {
    Part.ALL: "All fish",
    Part.NETS: "From nets",
    Part.FEMALES: "Females",
    Part.MALES: "Males",
}
PART_CAPTIONS = {
    Part.ALL: "Aged fish needed",
    Part.NETS: "Of these, from nets",
    Part.FEMALES: "Of these, females at least",
    Part.MALES: "Of these, males at least",
}
SEXES = {Part.FEMALES: Part.MALES, Part.MALES: Part.FEMALES}


def edited_targets(
    options: CoverageOptions, chosen: forms.TargetRange, part: str = ""
) -> Edited | None:
    """Return the targets that the address asks for; without a part of them, those of all fish."""
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
    parts = parts_offered(lake_species)
    return Edited(season, lake_species, saved, columns, Part(part) if part in parts else Part.ALL)


def parts_offered(lake_species: LakeSpecies) -> list[Part]:
    """Return what of a target can be set; sexes where the lake sets targets by sex."""
    return list(Part) if lake_species.targets_by_sex else [Part.ALL, Part.NETS]


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.EDIT_TARGETS)
def targets(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Edit how many aged fish are wanted, bin by bin."""
    options = options_today(lake)
    chosen = forms.TargetRange(request.GET, options)
    edited = edited_targets(options, chosen, request.GET.get("part", ""))
    if edited is None:
        return render(request, "targets/targets.html", {"lake": lake, "edited": None})
    start = start_of(request, options, edited)
    table = table_of(request, lake, edited, start)
    if request.method == "POST" and table.is_valid():
        return saved_and_back(request, lake, edited, table)
    context = targets_context(lake, options, edited, table)
    form = table if table.is_bound else start.refused or chosen
    context |= {"form": form, "chosen": chosen, "start": start}
    return render(
        request, "targets/targets.html", context, status=422 if request.method == "POST" else 200
    )


def table_of(
    request: SignedInRequest, lake: Lake, edited: Edited, start: Start
) -> forms.TargetsTable:
    """Return the table of all fish, or of what nets or one sex are to bring of them."""
    words: dict[str, Any] = {
        "lake": lake,
        "arms": start.arms,
        "columns": edited.columns,
        "wanted": start.wanted,
        "saved": edited.numbers,
    }
    if edited.part is Part.ALL:
        return forms.TargetsTable(request.POST or None, **words)
    other = SEXES.get(edited.part)
    return forms.PartsTable(
        request.POST or None,
        targets=edited.saved.wanted,
        other_sex=edited.saved.of(other) if other else {},
        **words,
    )


def saved_and_back(
    request: SignedInRequest, lake: Lake, edited: Edited, table: forms.TargetsTable
) -> HttpResponse:
    species, width = edited.lake_species.species, edited.lake_species.bin_width_hundredths_mm
    written: dict[str, Any] = {"width": width, "actor": request.user, "now": timezone.now()}
    if edited.part is Part.ALL:
        changed = services.save_targets(edited.season, species, wanted=table.wanted(), **written)
    else:
        changed = services.save_parts(
            edited.season, species, edited.part, numbers=table.wanted(), **written
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
    of_part = chosen.copy()
    if edited.part is not Part.ALL:
        of_part["part"] = edited.part
    return {
        "lake": lake,
        "edited": edited,
        "parts": [
            (part, PART_HEADS[part], part is edited.part)
            for part in parts_offered(edited.lake_species)
        ],
        "is_whole": edited.part is Part.ALL,
        "part_head": PART_CAPTIONS[edited.part],
        "whole_query": chosen.urlencode(),
        "table": table,
        "species": edited.lake_species.species,
        "query": of_part.urlencode(),
        "kept_range": [(name, chosen[name]) for name in ("from", "below")],
        "other_seasons": [one for one in options.seasons if one.pk != edited.season.pk],
        "changes": target_changes(edited.season, edited.lake_species.species, options.unit),
        "proposal": services.proposal_text(len(table.arms)),
        "measured_least": MEASURED_A_CLASS * len(edited.columns),
        "bins_cut": len(edited.columns) == MOST_BINS,
    }
