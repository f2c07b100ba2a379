"""The page of what one more aged fish is worth, cell by cell."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from samples.accounts.decorators import SignedInRequest
from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import fish_counted_at
from samples.models import Lake
from samples.science.errors import CannotEstimate
from samples.targets import forms
from samples.targets.forms.worth import MOST_MORE
from samples.targets.presenters.coverage import Coverage
from samples.targets.presenters.shaping import coverage_of
from samples.targets.presenters.worth import (
    LimitStudy,
    Study,
    cell_rows,
    study_of,
    what_if,
    with_limit,
)
from samples.targets.presenters.worth.curve import curve_of
from samples.targets.presenters.worth.limit_words import limit_figures, limit_headline
from samples.targets.presenters.worth.words import figures_of, headline, split_text
from samples.targets.queries.choice import CoverageSelection
from samples.targets.queries.limit import limit_inputs
from samples.targets.queries.worth import fish_behind
from samples.targets.rules import Need
from samples.targets.views.coverage_page import options_today

FIRST_LINES = 8
BAR = 60


def show_worth(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the cells by what one more aged fish of each is worth, and what so many would tell."""
    options = options_today(lake)
    filters = forms.WorthFilters(request.GET, options)
    selection = filters.choice()
    context: dict[str, Any] = {"lake": lake, "form": filters, "selection": selection}
    if selection is None:
        return render(request, "targets/worth.html", context)
    fish = fish_counted_at(request.user, lake)
    chosen = urlencode({"season": selection.season.name, "species": selection.species.code})
    context |= {
        "query": chosen,
        "may_edit": has_permission(request.user, Permission.EDIT_TARGETS, lake),
        "coverage_address": f"{reverse('targets:coverage', args=[lake.slug])}?{chosen}",
    }
    behind = fish_behind(fish, options, selection)
    try:
        study = study_of(options.arms, selection, behind)
        if (ages := filters.ages(study.ages)) != study.ages:
            study = study.planned_for(ages)
    except CannotEstimate as refused:
        context["refused"] = refused.code
        return render(request, "targets/worth.html", context)
    asked = None
    if filters.limit_mm:
        inputs = limit_inputs(fish, selection, study.arms, behind.earlier)
        study, asked = with_limit(study, filters.limit_mm, inputs)
    coverage = coverage_of(fish, options, selection, donors_named=False)
    context |= worth_context(filters, selection, study, coverage, asked)
    return render(request, "targets/worth.html", context)


def worth_context(
    filters: forms.WorthFilters,
    selection: CoverageSelection,
    study: Study,
    coverage: Coverage,
    asked: LimitStudy | None,
) -> dict[str, Any]:
    weights = {"lengths_weight": filters.lengths_weight, "limit_weight": filters.limit_weight}
    found = what_if(study, budget=filters.budget, most=MOST_MORE, **weights)
    limit = limit_figures(asked, found, study, selection.unit) if asked else None
    of_limit = limit_headline(limit, found) if limit and filters.limit_weight else ""
    return {
        "study": study,
        "found": found,
        "headline": of_limit or headline(found, selection),
        "figures": figures_of(found, study, selection.unit),
        "limit": limit,
        "nothing_open": bool(filters.limit_weight and limit and not limit.before),
        "split": split_text(found),
        "rows": cell_rows(
            study,
            found.plan.more,
            arm_needs(coverage),
            bar=BAR,
            **weights,
        ),
        "first_lines": FIRST_LINES,
        "curve": curve_of(found.curve, chosen=filters.budget, cv=found.after.cv_percent),
        "unit": selection.unit,
    }


def arm_needs(coverage: Coverage) -> dict[tuple[int, int], Need]:
    """Return the arm minimums of the page of coverage, by arm and bin."""
    return {(cell.arm_id, cell.column.place): cell.need for cell in coverage.cells if cell.need}
