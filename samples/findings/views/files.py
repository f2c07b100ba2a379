"""Figures and tables of findings as files."""

from typing import TYPE_CHECKING, TypeVar

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.findings.computed import find_answer, find_figure
from samples.findings.presenters.plot_csv import plot_as_csv
from samples.findings.presenters.table_csv import as_csv
from samples.findings.views.asking import question_of
from samples.findings.views.waiting import wait_for
from samples.models import Lake

if TYPE_CHECKING:
    from samples.findings.forms import ChoiceForm

T = TypeVar("T")
NO_SUCH = "This finding has no such figure or table."
TYPES = {
    "csv": "text/csv; charset=utf-8",
    "png": "image/png",
    "svg": "image/svg+xml",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def figure(request: SignedInRequest, lake: Lake, topic: str, place: str, kind: str) -> HttpResponse:
    """Return a figure as SVG or PNG, or its data as CSV."""
    form, question = question_of(request, lake, topic)
    if question is None:
        raise Http404(NO_SUCH)
    now = timezone.now()
    answer = find_answer(question, now=now)
    if answer.computation:
        return wait_for(request, lake, answer.computation)
    plot = _of(answer.result.page.plots, int(place))
    if kind == "csv":
        return _file(plot_as_csv(plot), TYPES[kind], _named(lake, form, plot.name), kind)
    drawn = find_figure(question, int(place), kind, now=now)
    if drawn.computation:
        return wait_for(request, lake, drawn.computation)
    return _file(drawn.result, TYPES[kind], _named(lake, form, plot.name), kind)


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def table(request: SignedInRequest, lake: Lake, topic: str, place: str, kind: str) -> HttpResponse:
    """Return a table as CSV or as an Excel workbook."""

    form, question = question_of(request, lake, topic)
    if question is None:
        raise Http404(NO_SUCH)
    answer = find_answer(question, now=timezone.now())
    if answer.computation:
        return wait_for(request, lake, answer.computation)
    found = _of(answer.result.page.tables, int(place))
    name = _named(lake, form, found.name)
    if kind == "csv":
        return _file(as_csv(found), TYPES[kind], name, kind)
    # The library of workbooks is brought in by the first of them.
    from samples.findings.presenters.table_xlsx import as_xlsx

    return _file(as_xlsx(found), TYPES[kind], name, kind)


def _of(found: list[T], place: int) -> T:
    if not 0 <= place < len(found):
        raise Http404(NO_SUCH)
    return found[place]


def _named(lake: Lake, form: "ChoiceForm", name: str) -> str:
    """Name a file by lake, species, seasons and what it shows."""
    chosen = [*form.given.getlist("species"), *sorted(form.given.getlist("season"))]
    return " ".join([lake.slug, *chosen, name])


def _file(body: str | bytes, content_type: str, name: str, ending: str) -> HttpResponse:
    return HttpResponse(
        body,
        content_type=content_type,
        headers={"Content-Disposition": f'attachment; filename="{slugify(name)}.{ending}"'},
    )
