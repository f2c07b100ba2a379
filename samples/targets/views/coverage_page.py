"""Pages of coverage: what is short, and its fish."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, TypeAlias

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse, QueryDict, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from samples.accounts.decorators import (
    SignedInRequest,
    lake_permission_required,
    permission_required,
)
from samples.accounts.permissions import Permission, has_permission, lakes_with_permission
from samples.accounts.selectors import fish_at, fish_counted_at
from samples.models import Fish, Lake
from samples.rules.lake_time import local_day
from samples.targets import forms
from samples.targets.presenters import sentences
from samples.targets.presenters.coverage import Coverage, coverage_address
from samples.targets.presenters.csv_file import csv_of
from samples.targets.presenters.fish_files import csv_lines, xlsx_chunks
from samples.targets.presenters.fish_table import FishColumn, css_class_of, line_of
from samples.targets.presenters.for_guides import needed_by_arm
from samples.targets.presenters.shaping import coverage_of
from samples.targets.presenters.shares import share_rows
from samples.targets.presenters.still_needed import FIRST_LINES, asked_by_arm, needed_rows
from samples.targets.queries.asks import asks_in_force
from samples.targets.queries.choice import OWN_BINS, CoverageOptions, options_of
from samples.targets.queries.fish import FishChoice, count_not_so_far, fish_of
from samples.units import LengthUnit

FISH_A_PAGE = 50
FISH_AT_A_TIME = 1000
FishWriter: TypeAlias = Callable[
    [Iterable[Fish], list[FishColumn], LengthUnit], Iterator[str] | Iterator[bytes]
]


def options_today(lake: Lake) -> CoverageOptions:
    return options_of(lake, local_day(timezone.now(), lake.time_zone))


def requested_coverage(
    request: SignedInRequest, lake: Lake
) -> tuple[forms.CoverageFilters, Coverage | None]:
    """Read the filters and count; no coverage where the lake has no season or species."""
    options = options_today(lake)
    filters = forms.CoverageFilters(request.GET, options)
    selection = filters.choice()
    if selection is None:
        return filters, None
    fish = fish_counted_at(request.user, lake)
    named = has_permission(request.user, Permission.SEE_DONORS, lake)
    return filters, coverage_of(fish, options, selection, donors_named=named)


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def coverage(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show what is aged of what is wanted, arm by length bin."""
    filters, counted = requested_coverage(request, lake)
    context: dict[str, Any] = {"lake": lake, "form": filters, "coverage": counted}
    if counted is not None:
        targets = reverse("targets:targets", args=[lake.slug])
        chosen = QueryDict(mutable=True)
        chosen["season"] = counted.selection.season.name
        chosen["species"] = counted.selection.species.code
        own_bins = request.GET.copy()
        own_bins["bin"] = OWN_BINS
        asked_for_others = counted.other_bins and filters.data["bin"] != OWN_BINS
        context |= {
            "own_bins": own_bins.urlencode() if asked_for_others else "",
            "headline": sentences.headline(counted),
            "parts": sentences.parts(counted),
            "sentences": sentences.target_notes(counted),
            "measured": sentences.measured(counted),
            "how_aged": sentences.how_aged(counted),
            "one_donor": sentences.arms_of_one_donor(counted),
            "needed_rows": needed_rows(counted),
            "asked_by_arm": asked_by_arm(counted),
            "share_rows": share_rows(counted),
            "still_needed_note": sentences.still_needed_note(counted),
            "first_lines": FIRST_LINES,
            "all_fish": _without_slice(request.GET),
            "may_edit": has_permission(request.user, Permission.EDIT_TARGETS, lake),
            "targets_address": f"{targets}?{chosen.urlencode()}",
            "worth_address": f"{reverse('targets:worth', args=[lake.slug])}?{chosen.urlencode()}",
            "chosen": chosen.urlencode(),
            "query": request.GET.urlencode(),
        }
    return render(request, "targets/coverage.html", context)


@require_safe
@permission_required(Permission.LOG_FISH)
def needed(request: SignedInRequest) -> HttpResponse:
    """Tell whoever logs fish what is still needed, arm by arm, on the ramp's pages."""
    lakes = lakes_with_permission(request.user, Permission.LOG_FISH)
    now = timezone.now()
    context = {
        "lists": asks_in_force(lakes, now=now),
        "arms": needed_by_arm(lakes, now=now),
        "has_several_lakes": len(lakes) > 1,
    }
    return render(request, "targets/needed.html", context)


def _without_slice(query: QueryDict) -> str:
    """Return the address of the same page for fish of every sex, method and reach."""
    whole = query.copy()
    for name in ("sex", "method", "reach"):
        whole.pop(name, None)
    return whole.urlencode()


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def coverage_csv(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Return the same coverage as a file."""
    _, counted = requested_coverage(request, lake)
    if counted is None:
        return redirect("targets:coverage", lake.slug)
    named = has_permission(request.user, Permission.SEE_DONORS, lake)
    selection = counted.selection
    name = slugify(f"coverage {lake.slug} {selection.species.code} {selection.season.name}")
    return HttpResponse(
        csv_of(counted, donors_named=named),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )


@dataclass(frozen=True, slots=True)
class FishRequest:
    """The fish that somebody asked to see, and how: the same for the page and its files."""

    filters: forms.FishFilters
    choice: FishChoice
    fish: QuerySet[Fish]

    @property
    def columns(self) -> list[FishColumn]:
        return self.filters.columns


@dataclass(frozen=True, slots=True)
class ColumnHead:
    """The head of a column: the address that sorts by it, and how it is sorted now."""

    text: str
    css_class: str
    query: str
    sorted_as: str


def column_heads(
    columns: list[FishColumn],
    unit: LengthUnit,
    query: QueryDict,
    *,
    sort: str,
    descending: bool,
) -> list[ColumnHead]:
    """Return the heads, each with the address of the same list sorted by it.

    The head that the list is sorted by turns the order round.
    """
    found = []
    for one in columns:
        is_sorted = one.key == sort
        address = query.copy()
        address["sort"] = one.key
        address["order"] = "down" if is_sorted and not descending else "up"
        sorted_as = ("descending" if descending else "ascending") if is_sorted else ""
        found.append(
            ColumnHead(one.head_in(unit), css_class_of(one), address.urlencode(), sorted_as)
        )
    return found


def requested_fish(request: SignedInRequest, lake: Lake) -> FishRequest:
    """Read which fish, columns and order are asked for; donors are named to few."""
    named = has_permission(request.user, Permission.SEE_DONORS, lake)
    filters = forms.FishFilters(request.GET, options_today(lake), donors_named=named)
    choice = filters.choice()
    sort, descending = filters.sort_order
    found = fish_of(
        fish_at(request.user, lake),
        choice,
        donors_named=named,
        sort=sort,
        descending=descending,
    )
    return FishRequest(filters, choice, found)


@require_safe
@lake_permission_required(Permission.SEE_FISH)
def fish(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List fish: those of a cell of coverage, or of any other choice."""
    asked = requested_fish(request, lake)
    pages = Paginator(asked.fish, FISH_A_PAGE)
    page = pages.get_page(request.GET.get("page"))
    chosen = request.GET.copy()
    chosen.pop("page", None)
    unit = LengthUnit(lake.length_unit)
    all_logged = chosen.copy()
    all_logged["count"] = "logged"
    sort, descending = asked.filters.sort_order
    context = {
        "lake": lake,
        "form": asked.filters,
        "not_so_far": count_not_so_far(fish_at(request.user, lake), asked.choice),
        "all_logged": all_logged.urlencode(),
        "choice": asked.choice,
        "coverage_address": coverage_address(
            asked.choice, request.GET.get("coverage", ""), request.GET.get("bin", "")
        ),
        "page": page,
        "heads": column_heads(asked.columns, unit, chosen, sort=sort, descending=descending),
        "sorted_by": dict(asked.filters.choices()["sort"])[sort],
        "lines": [line_of(one, asked.columns, unit) for one in page],
        "query": chosen.urlencode(),
    }
    return render(request, "targets/fish.html", context)


@require_safe
@lake_permission_required(Permission.SEE_FISH)
def fish_csv(request: SignedInRequest, lake: Lake) -> HttpResponseBase:
    """Return every fish of the choice as CSV, with the columns and the order of the page."""
    return _fish_file(request, lake, csv_lines, "csv", "text/csv; charset=utf-8")


@require_safe
@lake_permission_required(Permission.SEE_FISH)
def fish_xlsx(request: SignedInRequest, lake: Lake) -> HttpResponseBase:
    """Return the same as a workbook."""
    workbook = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    return _fish_file(request, lake, xlsx_chunks, "xlsx", workbook)


def _fish_file(
    request: SignedInRequest, lake: Lake, write: FishWriter, ending: str, content_type: str
) -> StreamingHttpResponse:
    """Send a file while its fish are read."""
    asked = requested_fish(request, lake)
    name = f"{fish_name(asked.choice)}.{ending}"
    return StreamingHttpResponse(
        write(asked.fish.iterator(FISH_AT_A_TIME), asked.columns, LengthUnit(lake.length_unit)),
        content_type=content_type,
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def fish_name(choice: FishChoice) -> str:
    """Name a file by lake, species and season."""
    parts = [choice.species.code if choice.species else "", str(choice.season or "")]
    return slugify(" ".join(["fish", choice.lake.slug, *parts]))
