"""The page where labels are made."""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import LabelRun, Lake, Season
from samples.rules.lake_time import local_day
from samples.vials import forms, queries, services
from samples.vials.views.planning import made_before, sheets_context

USUAL_COUNT = 120


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.PRINT_LABELS)
def labels(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the sheets before they are printed, and make a run of labels."""
    season = queries.season_for_labels(lake, local_day(timezone.now(), lake.time_zone))
    if season is None:
        return render(request, "vials/labels.html", {"lake": lake})
    form = _label_form(request, lake, season)
    if request.method == "POST" and "see" not in request.POST and form.is_valid():
        try:
            run = _make_run(form, request)
        except services.CannotMakeRun as problem:
            form.add_problem(problem.field, str(problem), code=problem.code)
        else:
            return redirect("vials:run", lake.slug, run.pk)
    made = made_before(request, form)
    if made is not None:
        return redirect("vials:run", lake.slug, made.run_id)
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render(request, "vials/labels.html", _label_context(lake, season, form), status=status)


def _make_run(form: forms.MakeLabels, request: SignedInRequest) -> LabelRun:
    words, start = form.cleaned_data, form.start()
    return services.make_run(
        season=words["season"],
        count=words["count"],
        stock=words["stock"],
        first_position=start.first_position,
        sheet_version=start.version,
        runs_down=start.runs_down,
        twins=start.twins,
        request_id=words["request_id"],
        actor=request.user,
        now=timezone.now(),
    )


def _label_form(request: SignedInRequest, lake: Lake, season: Season) -> forms.MakeLabels:
    if request.method == "POST":
        return forms.MakeLabels(request.POST, lake=lake)
    fresh = {"request_id": str(uuid4())}
    if "count" in request.GET:
        offer = {"sheet": queries.sheet_on_offer(lake, request.GET.get("stock", ""))}
        return forms.MakeLabels(offer | request.GET.dict() | fresh, lake=lake)
    stock = queries.last_stock(lake)
    first = {"season": season, "count": USUAL_COUNT, "stock": stock, **fresh}
    return forms.MakeLabels(initial=first, lake=lake)


def _label_context(lake: Lake, season: Season, form: forms.MakeLabels) -> dict[str, object]:
    words = form.cleaned_data if form.is_bound else form.initial
    season = words.get("season") or season
    year = season.number_year
    sequence = queries.next_sequence(year)
    digits = queries.digits_of(year)
    return sheets_context(form) | {
        "lake": lake,
        "season": season,
        "last_number": queries.last_number(year),
        "digits": digits,
        "digits_form": forms.NumberWidth(initial={"digits": digits}) if sequence == 1 else None,
        "no_address": not queries.labels_carry_links(),
        "printer_form": forms.PrinterNudge(
            initial=forms.PrinterNudge.words_of(queries.nudge_for(lake, form.chosen.code))
        ),
        "runs": queries.runs(lake),
    }


@require_POST
@lake_permission_required(Permission.PRINT_LABELS)
def digits(request: SignedInRequest, lake: Lake, year: int) -> HttpResponse:
    """Set how many digits the numbers of a year have: all lakes share them."""
    if not request.user.is_superuser:
        raise PermissionDenied("Only the administrator can change the number of digits.")
    if not Season.objects.filter(lake=lake, number_year=year).exists():
        raise Http404("No season of this lake carries that year.")
    form = forms.NumberWidth(request.POST)
    if not form.is_valid():
        messages.error(request, form.problems[0][1])
        return redirect("vials:labels", lake.slug)
    try:
        row = services.set_number_width(year=year, digits=form.cleaned_data["digits"])
    except services.CannotSetWidth as problem:
        messages.error(request, str(problem), extra_tags=problem.code)
    else:
        messages.success(request, f"Numbers of {year} will have {row.digits} digits.")
    return redirect("vials:labels", lake.slug)
