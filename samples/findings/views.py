"""Pages of findings."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from samples.accounts.doors import SignedInRequest, at_lake
from samples.accounts.roles import May
from samples.accounts.scope import fish_counted_at
from samples.findings import queries
from samples.findings.forms import LengthAtAgeFilters
from samples.models import Lake
from samples.rules.lake_time import local_day


def asked(request: SignedInRequest, lake: Lake) -> tuple[LengthAtAgeFilters, queries.Grown | None]:
    """Read the filters and describe the fish; nothing without a season and a species."""
    options = queries.options_of(lake, local_day(timezone.now(), lake.time_zone))
    filters = LengthAtAgeFilters(request.GET, options)
    choice = filters.choice()
    if choice is None:
        return filters, None
    return filters, queries.grown_of(fish_counted_at(request.user, lake), options, choice)


@require_safe
@at_lake(May.SEE_COVERAGE)
def length_at_age(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the mean length at each age, arm by arm."""
    filters, grown = asked(request, lake)
    context: dict[str, Any] = {"lake": lake, "form": filters, "grown": grown}
    if grown is not None:
        context |= {"finding": queries.finding(grown), "query": request.GET.urlencode()}
    return render(request, "findings/length_at_age.html", context)


@require_safe
@at_lake(May.SEE_COVERAGE)
def length_at_age_csv(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Give the same table as a file."""
    _, grown = asked(request, lake)
    if grown is None:
        return redirect("findings:length_at_age", lake.slug)
    choice = grown.choice
    name = slugify(f"length at age {lake.slug} {choice.species.code} {choice.season.name}")
    return HttpResponse(
        queries.csv_of(lake, grown),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )
