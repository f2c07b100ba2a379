"""Pages of label stocks: what they measure, and how far a printer is off on each."""

from __future__ import annotations

import io
from dataclasses import dataclass
from urllib.parse import urlencode

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, lakes_with_permission
from samples.models import Lake, LakeStock
from samples.rules.lake_time import local_day
from samples.vials import forms, pdf, queries, services
from samples.vials.geometry import NO_NUDGE, CannotPrint, Label, LabelStock, Nudge, preview
from samples.vials.presenters.sheets import about_symbol, label_png, sample_plan, sheet_png
from samples.vials.views.planning import no_picture


@dataclass(frozen=True, slots=True)
class StockRow:
    """A stock in the list: what its labels carry, and the row of one that was measured here."""

    stock: LabelStock
    symbol: str
    own: LakeStock | None


@require_safe
@lake_permission_required(Permission.PRINT_LABELS)
def stocks(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the label stocks of a lake."""
    own = {row.code: row for row in lake.stocks.filter(is_retired=False)}
    link = _sample(lake).link
    rows = [
        StockRow(stock, about_symbol(link, stock), own.get(code))
        for code, stock in queries.stocks_at(lake).items()
    ]
    context = {
        "lake": lake,
        "own": [row for row in rows if row.own],
        "common": [row for row in rows if not row.own],
    }
    return render(request, "vials/stocks.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.PRINT_LABELS)
def add_stock(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Measure another stock, beginning from one that is like it."""
    known = _known_stocks(request, lake)
    like = known.get(request.GET.get("like", "")) or known[queries.last_stock(lake)]
    initial = forms.MeasuredStock.words_of(like)
    return _edit(request, lake, None, initial, known=known, like=like)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.PRINT_LABELS)
def stock(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Change what a stock measures."""
    row = get_object_or_404(LakeStock, lake=lake, pk=pk)
    return _edit(request, lake, row, forms.MeasuredStock.words_of(queries.stock_of(row)))


def _known_stocks(request: SignedInRequest, lake: Lake) -> dict[str, LabelStock]:
    """Return the stocks of this lake and of the others where this person prints labels."""
    known = queries.stocks_at(lake)
    for other in lakes_with_permission(request.user, Permission.PRINT_LABELS):
        known |= queries.stocks_at(other)
    return known


def _edit(
    request: SignedInRequest,
    lake: Lake,
    row: LakeStock | None,
    initial: dict[str, object],
    *,
    known: dict[str, LabelStock] | None = None,
    like: LabelStock | None = None,
) -> HttpResponse:
    if request.method == "POST":
        form = forms.MeasuredStock(request.POST)
    elif "kind" in request.GET:
        form = forms.MeasuredStock(request.GET)
    else:
        # What is offered to begin with is shown as a picture too.
        form = forms.MeasuredStock(initial)
    drawn = _checked(form, queries.nudge_for(lake, row.code) if row else NO_NUDGE)
    if request.method == "POST" and "see" not in request.POST and drawn is not None:
        kept = services.keep_stock(
            lake=lake,
            measurements=form.measurements(),
            actor=request.user,
            now=timezone.now(),
            row=row,
        )
        messages.success(
            request,
            f"Saved: {queries.stock_of(kept).description}. Print a test page before the labels.",
        )
        return redirect("vials:printer", lake.slug, kept.code)
    context = {
        "lake": lake,
        "form": form,
        "row": row,
        "was_printed_on": row is not None and queries.was_printed_on(row),
        "stock": drawn,
        "known": known,
        "like": like,
        "symbol": about_symbol(_sample(lake).link, drawn) if drawn else "",
        "has_address": queries.labels_carry_links(),
        "sheet": _sheet_words(drawn) if drawn else "",
        "picture_query": urlencode(_typed(form)),
    }
    status = 422 if form.problems else 200
    return render(request, "vials/stock.html", context, status=status)


def _checked(form: forms.MeasuredStock, nudge: Nudge = NO_NUDGE) -> LabelStock | None:
    """Return the stock that was typed; nothing, and why beside its field, if it can't be."""
    if not form.is_valid():
        return None
    row = forms.unsaved_stock(form)
    try:
        services.check_stock(row, nudge)
        return queries.stock_of(row)
    except services.CannotKeepStock as problem:
        form.add_problem(problem.field or None, str(problem), code=problem.code)
        return None


def _typed(form: forms.MeasuredStock) -> dict[str, object]:
    words = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in words.items() if value not in (None, "", False)}


def _sheet_words(stock: LabelStock) -> str:
    """Return in words what the picture of a sheet shows."""
    names = [str(position) for position in range(1, stock.per_page + 1)]
    return preview(stock, 1, names).sheets[0].spoken


@require_POST
@lake_permission_required(Permission.PRINT_LABELS)
def retire_stock(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Take a stock off the list."""
    row = get_object_or_404(LakeStock, lake=lake, pk=pk)
    services.retire_stock(row=row, actor=request.user, now=timezone.now())
    messages.success(
        request,
        f"{queries.stock_of(row).description} is off the list. Labels printed on it can still be "
        "reprinted.",
    )
    return redirect("vials:stocks", lake.slug)


@require_safe
@never_cache
@lake_permission_required(Permission.PRINT_LABELS)
def stock_picture(request: SignedInRequest, lake: Lake, page: int) -> HttpResponse:
    """Show a sheet of a stock that is being measured; as page 0, one label enlarged."""
    form = forms.MeasuredStock(request.GET)
    drawn = _checked(form)
    if drawn is None:
        return no_picture("This stock can't be drawn.")
    plan = sample_plan(lake, drawn, _sample(lake))
    try:
        png = sheet_png(plan, page) if page else label_png(plan)
    except CannotPrint as why:
        return no_picture(str(why))
    return HttpResponse(png, content_type="image/png")


def _sample(lake: Lake) -> Label:
    today = local_day(timezone.now(), lake.time_zone)
    return queries.sample_label(lake, queries.season_for_labels(lake, today))


def _stock_or_404(lake: Lake, code: str) -> LabelStock:
    found = queries.find_stock(lake, code)
    if found is None:
        raise Http404("No such label stock.")
    return found


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.PRINT_LABELS)
def printer(request: SignedInRequest, lake: Lake, stock: str) -> HttpResponse:
    """Keep how far the printer is off on one stock."""
    sheet = _stock_or_404(lake, stock)
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
    sheet = _stock_or_404(lake, stock)
    page = pdf.test_page_pdf(sheet, queries.nudge_for(lake, stock))
    return FileResponse(
        io.BytesIO(page),
        as_attachment=True,
        filename=f"test-page-{stock}.pdf",
        content_type="application/pdf",
    )
