"""The pages of a season: how it fills, and its plan."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify

from samples.accounts.decorators import SignedInRequest
from samples.accounts.selectors import fish_counted_at
from samples.findings.page_model import Page
from samples.findings.presenters.figure_html import figures_as_html
from samples.findings.presenters.table_csv import as_csv
from samples.findings.presenters.table_html import as_html
from samples.models import Lake
from samples.rules.lake_time import local_day
from samples.seasons import forms
from samples.seasons.presenters.plan import plan_sections
from samples.seasons.presenters.progress import Progress, progress_of
from samples.seasons.queries.weeks import SPLITS, SeasonChoice, season_rows
from samples.targets.queries.choice import options_of


def requested_progress(
    request: SignedInRequest, lake: Lake
) -> tuple[forms.ProgressFilters, SeasonChoice | None, Progress | None]:
    """Read the filters and count; nothing where the lake has no season or species."""
    options = options_of(lake, local_day(timezone.now(), lake.time_zone))
    filters = forms.ProgressFilters(request.GET, options)
    choice = filters.choice()
    if choice is None:
        return filters, None, None
    fish = fish_counted_at(request.user, lake)
    group = SPLITS[choice.split]
    found = season_rows(fish, options, choice.season, choice.species, group=group)
    return filters, choice, progress_of(choice, found, options)


def show_progress(request: SignedInRequest, lake: Lake) -> HttpResponse:
    filters, choice, made = requested_progress(request, lake)
    context: dict[str, Any] = {"lake": lake, "form": filters, "choice": choice}
    if choice is not None and made is not None:
        chosen = {"season": choice.season.name}
        if not choice.is_every_species:
            chosen["species"] = choice.species[0].species.code
        query = urlencode(chosen)
        figures = figures_as_html(Page("", plots=made.plots))
        context |= {
            "progress": made,
            "figures": figures,
            "tables": [
                as_html(one, place, is_shown=False) for place, one in enumerate(made.tables)
            ],
            "coverage_address": f"{reverse('targets:coverage', args=[lake.slug])}?{query}",
            "plan_address": f"{reverse('seasons:plan', args=[lake.slug])}?"
            + urlencode({"season": choice.season.name}),
            "query": request.GET.urlencode(),
        }
    return render(request, "seasons/progress.html", context)


def send_weeks(request: SignedInRequest, lake: Lake) -> HttpResponse:
    _, choice, made = requested_progress(request, lake)
    if choice is None or made is None:
        return redirect("seasons:progress", lake.slug)
    species = "all" if choice.is_every_species else choice.species[0].species.code
    name = slugify(f"weeks {lake.slug} {species} {choice.season.name}")
    return HttpResponse(
        as_csv(made.tables[-1]),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )


def show_plan(request: SignedInRequest, lake: Lake) -> HttpResponse:
    options = options_of(lake, local_day(timezone.now(), lake.time_zone))
    filters = forms.SeasonFilters(request.GET, options)
    season = filters.chosen_season()
    context: dict[str, Any] = {"lake": lake, "form": filters, "season": season}
    if season is not None:
        fish = fish_counted_at(request.user, lake)
        context |= {
            "sections": plan_sections(fish, options, season, now=timezone.now()),
            "today": options.today,
            "progress_address": f"{reverse('seasons:progress', args=[lake.slug])}?"
            + urlencode({"season": season.name, "species": forms.EVERY_SPECIES}),
        }
    return render(request, "seasons/plan.html", context)
