"""Figures and tables of findings as files."""

import csv
import io
from typing import TYPE_CHECKING, TypeVar

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.findings.computed import find_answer, find_figure
from samples.findings.views.asking import question_of
from samples.findings.views.waiting import wait_for
from samples.models import Lake
from samples.rules.csv_text import plain_cell

if TYPE_CHECKING:
    from samples.findings.forms import ChoiceForm

T = TypeVar("T")
NO_SUCH = "This finding has no such figure or table."
TYPES = {"png": "image/png", "svg": "image/svg+xml"}


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def figure(request: SignedInRequest, lake: Lake, topic: str, place: str, kind: str) -> HttpResponse:
    """Return a figure as SVG or PNG, or its data as CSV."""
    from samples.findings.figures import as_rows

    form, question = question_of(request, lake, topic)
    if question is None:
        raise Http404(NO_SUCH)
    now = timezone.now()
    answer = find_answer(question, now=now)
    if answer.computation:
        return wait_for(request, lake, answer.computation)
    plot = _of(answer.result.page.plots, int(place))
    if kind == "csv":
        return _csv(as_rows(plot), _named(lake, form, plot.name))
    drawn = find_figure(question, int(place), kind, now=now)
    if drawn.computation:
        return wait_for(request, lake, drawn.computation)
    return _file(drawn.result, TYPES[kind], _named(lake, form, plot.name), kind)


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def table(request: SignedInRequest, lake: Lake, topic: str, place: int) -> HttpResponse:
    """Return a table as comma-separated values."""
    from samples.findings.figures import as_columns

    form, question = question_of(request, lake, topic)
    if question is None:
        raise Http404(NO_SUCH)
    answer = find_answer(question, now=timezone.now())
    if answer.computation:
        return wait_for(request, lake, answer.computation)
    found = _of(answer.result.page.tables, place)
    return _csv(as_columns(found), _named(lake, form, found.name))


def _of(found: list[T], place: int) -> T:
    if not 0 <= place < len(found):
        raise Http404(NO_SUCH)
    return found[place]


def _named(lake: Lake, form: "ChoiceForm", name: str) -> str:
    """Name a file by lake, species, seasons and what it shows."""
    chosen = [*form.given.getlist("species"), *sorted(form.given.getlist("season"))]
    return " ".join([lake.slug, *chosen, name])


def _csv(rows: list[list[str]], name: str) -> HttpResponse:
    out = io.StringIO()
    write = csv.writer(out)
    for row in rows:
        write.writerow([plain_cell(cell) for cell in row])
    return _file(out.getvalue(), "text/csv; charset=utf-8", name, "csv")


def _file(body: str | bytes, content_type: str, name: str, ending: str) -> HttpResponse:
    return HttpResponse(
        body,
        content_type=content_type,
        headers={"Content-Disposition": f'attachment; filename="{slugify(name)}.{ending}"'},
    )
