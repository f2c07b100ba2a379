"""Pages where labels are made, printed and printed again."""

from __future__ import annotations

import io
from dataclasses import dataclass
from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import LabelRun, Lake, Season
from samples.rules import vial_number
from samples.rules.lake_time import local_day
from samples.vials import forms, pdf, queries, services
from samples.vials.geometry import STOCKS, CannotPrint, LabelStock, Preview, preview, symbol_for

USUAL_COUNT = 120


@dataclass(frozen=True, slots=True)
class Sheets:
    """The sheets as they would print, and one label enlarged."""

    first: str
    last: str
    pictures: Preview
    label: pdf.LabelPicture
    symbol: str
    has_symbol: bool


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
            run = services.make_run(**form.cleaned_data, actor=request.user, now=timezone.now())
        except services.CannotMakeRun as problem:
            form.add_problem(problem.field, str(problem), code=problem.code)
        else:
            return redirect("vials:run", lake.slug, run.pk)
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render(request, "vials/labels.html", _label_context(lake, season, form), status=status)


def _label_form(request: SignedInRequest, lake: Lake, season: Season) -> forms.MakeLabels:
    if request.method == "POST":
        return forms.MakeLabels(request.POST, lake=lake)
    fresh = {"request_id": str(uuid4())}
    if "count" in request.GET:
        return forms.MakeLabels(request.GET.dict() | fresh, lake=lake)
    first = {"season": season, "count": USUAL_COUNT, "first_position": 1, **fresh}
    return forms.MakeLabels(initial=first, lake=lake)


def _label_context(lake: Lake, season: Season, form: forms.MakeLabels) -> dict[str, object]:
    words = form.cleaned_data if form.is_bound else form.initial
    season = words.get("season") or season
    stock = STOCKS[words.get("stock") or next(iter(STOCKS))]
    year = season.number_year
    digits = queries.digits_of(year)
    sequence = queries.next_sequence(year)
    sheets, problem = None, ""
    if not form.is_bound or form.is_valid():
        try:
            sheets = _sheets(season, stock, words["count"], words["first_position"])
        except (CannotPrint, vial_number.NoSuchNumber) as why:
            problem = str(why)
    return {
        "lake": lake,
        "season": season,
        "form": form,
        "stock": stock,
        "sheets": sheets,
        "sheets_problem": problem,
        "last_number": queries.last_number(year),
        "digits": digits,
        "digits_form": forms.NumberWidth(initial={"digits": digits}) if sequence == 1 else None,
        "no_address": not queries.labels_carry_links(),
        "printer_form": forms.PrinterNudge(
            initial=forms.PrinterNudge.words_of(queries.nudge_for(lake, stock.code))
        ),
        "runs": queries.runs(lake),
    }


def _sheets(season: Season, stock: LabelStock, count: int, first_position: int) -> Sheets:
    year = season.number_year
    digits, start = queries.digits_of(year), queries.next_sequence(year)
    first, last = (vial_number.make(year, at, digits) for at in (start, start + count - 1))
    label = queries.label_of(first, season)
    picture = pdf.label_picture(label, stock)
    return Sheets(
        first=vial_number.grouped(first),
        last=vial_number.grouped(last),
        pictures=preview(
            stock, count, first_position, [f"{start + n:0{digits}d}" for n in range(count)]
        ),
        label=picture,
        symbol=_about_symbol(label.link, stock),
        has_symbol=bool(picture.symbol_path),
    )


def _about_symbol(link: str | None, stock: LabelStock) -> str:
    if link is None:
        return ""
    try:
        return symbol_for(link, stock).description
    except CannotPrint as why:
        return str(why)


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


def _stock_or_404(code: str) -> LabelStock:
    if code not in STOCKS:
        raise Http404("No such label stock.")
    return STOCKS[code]


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.PRINT_LABELS)
def printer(request: SignedInRequest, lake: Lake, stock: str) -> HttpResponse:
    """Keep how far the printer is off on one stock."""
    sheet = _stock_or_404(stock)
    words = forms.PrinterNudge.words_of(queries.nudge_for(lake, stock))
    form = forms.PrinterNudge(request.POST or None, initial=words)
    if request.method == "POST" and form.is_valid():
        try:
            services.set_printer(lake=lake, stock=stock, nudge=form.nudge())
        except services.CannotSetPrinter as problem:
            form.add_problem(None, str(problem), code=problem.code)
        else:
            messages.success(
                request, f"Saved for {sheet.description}. Print a test page to check it."
            )
            return redirect("vials:printer", lake.slug, stock)
    status = 422 if request.method == "POST" else 200
    context = {"lake": lake, "stock": sheet, "form": form}
    return render(request, "vials/printer.html", context, status=status)


@require_safe
@lake_permission_required(Permission.PRINT_LABELS)
def test_page(request: SignedInRequest, lake: Lake, stock: str) -> HttpResponseBase:
    """Give the page that shows how far the printer is off."""
    sheet = _stock_or_404(stock)
    page = pdf.test_page_pdf(sheet, queries.nudge_for(lake, stock))
    return _file(page, f"test-page-{stock}.pdf")


def _file(content: bytes, name: str) -> FileResponse:
    # Saved, not shown: a browser's own viewer may scale what it prints.
    return FileResponse(
        io.BytesIO(content), as_attachment=True, filename=name, content_type="application/pdf"
    )


def _run_of(lake: Lake, pk: int) -> queries.RunRow:
    made = LabelRun.objects.select_related("season__lake", "made_by")
    return queries.run_row(get_object_or_404(made, season__lake=lake, pk=pk))


def _whole(row: queries.RunRow) -> dict[str, object]:
    """Return what prints a whole run as it was first printed."""
    known = row.run.stock in STOCKS
    return {
        "first": row.first,
        "last": row.last,
        "stock": row.run.stock if known else next(iter(STOCKS)),
        "first_position": row.run.first_position if known else 1,
    }


def _run_page(
    request: SignedInRequest,
    lake: Lake,
    row: queries.RunRow,
    *,
    part: forms.PartOfRun | None = None,
    spoiled: forms.VoidNumbers | None = None,
) -> HttpResponse:
    wrong = part or spoiled
    context = {
        "lake": lake,
        "row": row,
        "stock": STOCKS.get(row.run.stock),
        "form": wrong,
        "part_form": part or forms.PartOfRun(initial=_whole(row), row=row),
        "void_form": spoiled or forms.VoidNumbers(),
        "no_address": not queries.labels_carry_links(),
    }
    return render(request, "vials/run.html", context, status=422 if wrong else 200)


@require_safe
@lake_permission_required(Permission.PRINT_LABELS)
def run(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one run: print it, print some of it again, or make spoiled numbers void."""
    return _run_page(request, lake, _run_of(lake, pk))


@require_safe
@lake_permission_required(Permission.PRINT_LABELS)
def run_pdf(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponseBase:
    """Return the labels of a run, or of some of its numbers."""
    row = _run_of(lake, pk)
    part = forms.PartOfRun(request.GET or _whole(row), row=row)
    if not part.is_valid():
        return _run_page(request, lake, row, part=part)
    stock = STOCKS[part.cleaned_data["stock"]]
    try:
        content = pdf.labels_pdf(
            queries.labels_of(row.run, *part.ends()),
            stock,
            part.cleaned_data["first_position"],
            queries.nudge_for(lake, stock.code),
        )
    except pdf.NothingToPrint:
        sentence = "All these numbers are void. No PDF was made."
        part.add_problem("first", sentence, code="all_void")
        return _run_page(request, lake, row, part=part)
    except CannotPrint as problem:
        part.add_problem("stock", str(problem), code=problem.code)
        return _run_page(request, lake, row, part=part)
    first, last = part.cleaned_data["first"], part.cleaned_data["last"]
    return _file(content, f"labels-{first}-{last}.pdf")


@require_POST
@lake_permission_required(Permission.PRINT_LABELS)
def void(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Make spoiled numbers void."""
    row = _run_of(lake, pk)
    form = forms.VoidNumbers(request.POST)
    if form.is_valid():
        words = form.cleaned_data
        try:
            count = services.void_vials(
                lake=lake,
                first=words["void_first"],
                last=words["void_last"],
                note=words["note"],
                actor=request.user,
                now=timezone.now(),
            )
        except services.CannotMark as problem:
            form.add_problem(f"void_{problem.field}", str(problem), code=problem.code)
        else:
            messages.success(request, f"{count} numbers are void. They are never used again.")
            return redirect("vials:run", lake.slug, pk)
    return _run_page(request, lake, row, spoiled=form)
