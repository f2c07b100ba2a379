"""One door for every topic: what was chosen stands in the address, the page follows from it."""

import csv
import io
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from django.core.cache import cache
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from samples.accounts.doors import SignedInRequest, at_lake
from samples.accounts.roles import May, may
from samples.accounts.scope import fish_counted_at
from samples.findings import later
from samples.findings.shown import Page, Plot
from samples.models import Lake, ReleaseDeath
from samples.rules.csv_text import plain_cell
from samples.rules.lake_time import local_day

if TYPE_CHECKING:
    from samples.findings.forms import ChoiceForm
    from samples.findings.queries import Options

T = TypeVar("T")
FIRST, PUBLIC = "length-at-age", "length-limit-public"
# From so many fish on, a finding takes longer than a page may.
LONG_FROM = 20_000


@dataclass(frozen=True, slots=True)
class Drawn:
    """A figure of the page: its SVG, and where it is saved from."""

    svg: SafeString
    caption: str
    place: int

    @property
    def linked(self) -> bool:
        return 'role="group"' in self.svg


@dataclass(frozen=True, slots=True)
class Tab:
    words: str
    address: str
    here: bool


@require_safe
@at_lake(May.SEE_COVERAGE)
def findings(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Lead on to the first finding."""
    return redirect("findings:finding", lake.slug, FIRST)


@require_safe
@at_lake(May.SEE_COVERAGE)
def finding(request: SignedInRequest, lake: Lake, topic: str) -> HttpResponse:
    """Show one finding of the fish chosen."""
    form, page, working = asked(request, lake, topic, wait=False)
    if working:
        context = {"lake": lake, "tabs": _tabs(lake, topic, request), "fish": working}
        return render(request, "findings/working.html", context, status=202)
    drawn = [
        Drawn(_svg(plot, lake, request, topic, place), plot.caption, place)
        for place, plot in enumerate(page.plots if page else [])
    ]
    wrong = form.ready and bool(form.errors)
    context = {
        "lake": lake,
        "form": form,
        "page": page,
        "drawn": drawn,
        "tabs": _tabs(lake, topic, request),
        "topic": topic,
        "query": request.GET.urlencode(),
        "wrong": wrong,
    }
    status = 422 if wrong else 200
    return render(request, "findings/finding.html", context, status=status)


@require_safe
@at_lake(May.SEE_COVERAGE)
def public(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the one page for the public, to print or send."""
    form, page, _ = asked(request, lake, PUBLIC)
    drawn = [
        Drawn(_svg(plot, lake, request, PUBLIC, place), plot.caption, place)
        for place, plot in enumerate(page.plots if page else [])
    ]
    context = {"lake": lake, "page": page, "drawn": drawn, "today": _today(lake), "form": form}
    return render(request, "findings/public.html", context, status=200 if page else 422)


@require_safe
@at_lake(May.SEE_COVERAGE)
def figure(request: SignedInRequest, lake: Lake, topic: str, place: str, kind: str) -> HttpResponse:
    """Give a figure as SVG or PNG, or its data as CSV."""
    from samples.findings.figures import as_png, as_rows, as_svg

    form, page, _ = asked(request, lake, topic)
    plot = _of(page.plots if page else [], int(place))
    if kind == "csv":
        return _csv(as_rows(plot), _named(lake, form, plot.name))
    body: str | bytes = as_png(plot) if kind == "png" else as_svg(plot, on_page=False)
    types = {"png": "image/png", "svg": "image/svg+xml"}
    return _file(body, types[kind], _named(lake, form, plot.name), kind)


@require_safe
@at_lake(May.SEE_COVERAGE)
def table(request: SignedInRequest, lake: Lake, topic: str, place: int) -> HttpResponse:
    """Give a table as comma-separated values."""
    from samples.findings.figures import as_columns

    form, page, _ = asked(request, lake, topic)
    found = _of(page.tables if page else [], place)
    return _csv(as_columns(found), _named(lake, form, found.name))


def _of(found: list[T], place: int) -> T:
    if not 0 <= place < len(found):
        raise Http404("This finding has no such figure or table.")
    return found[place]


def asked(
    request: SignedInRequest, lake: Lake, topic: str, *, wait: bool = True
) -> "tuple[ChoiceForm, Page | None, int]":
    """Read what was chosen and make the page, or take it as it was made while data are the same.

    With ``wait=False``, the last one is the number of fish of a page that is still worked on.
    """
    # Arrays and what works on them are brought in by the first finding: phones need none of it.
    from samples.findings import queries
    from samples.findings.topics import PAGES, TAKEN_TOGETHER, Asked

    if topic not in PAGES:
        raise Http404("There is no such finding.")
    options = queries.options_of(lake, _today(lake))
    form = _form(request, lake, topic, options)
    choice = form.choice()
    if choice is None:
        return form, None, 0
    if topic in TAKEN_TOGETHER:
        choice = replace(choice, relatives=())
        form.fields["by"].widget = form.fields["by"].hidden_widget()
    named = may(request.user, May.SEE_DONORS, lake)
    rows = fish_counted_at(request.user, lake)
    chosen = f"{topic} {lake.pk} {named} {form.words}"
    known = f"finding-{hash_of(chosen + queries.fingerprint(rows, choice))}"
    page: Page | None = cache.get(known)
    if page is not None:
        return form, page, 0

    def make() -> Page:
        sample = queries.load(rows, choice)
        share = queries.large_share(sample, named=named)
        return PAGES[topic](Asked(options, choice, sample, rows, share))

    count = queries.count(rows, choice)
    if not wait and count >= LONG_FROM and later.begin(known, f"finding-{hash_of(chosen)}", make):
        return form, None, count
    page = make()
    cache.set(known, page, later.KEPT_S)
    return form, page, 0


def _today(lake: Lake) -> date:
    return local_day(timezone.now(), lake.time_zone)


def _form(request: SignedInRequest, lake: Lake, topic: str, options: "Options") -> "ChoiceForm":
    from samples.findings.forms import AllSeasonsForm, ChoiceForm, LimitForm
    from samples.findings.topics import ABOUT_LIMITS, OVER_SEASONS

    if topic in OVER_SEASONS:
        return AllSeasonsForm(request.GET, options)
    if topic not in ABOUT_LIMITS or not options.lake_species:
        return ChoiceForm(request.GET, options)
    code = request.GET.get("species") or options.lake_species[0].species.code
    rows = ReleaseDeath.objects.filter(lake=lake, species__code=code).order_by("middle")
    release = [(str(row.pk), row.when or row.source) for row in rows]
    return LimitForm(request.GET, options, release)


def hash_of(text: str) -> str:
    import hashlib

    return hashlib.sha256(text.encode()).hexdigest()


def _svg(plot: Plot, lake: Lake, request: SignedInRequest, topic: str, place: int) -> SafeString:
    from samples.findings.figures import as_svg

    sees_vials = may(request.user, May.DECIDE_AGES, lake)

    def link(number: str) -> str:
        return reverse("lab:vial", args=[lake.slug, number]) if sees_vials else ""

    known = f"svg-{hash_of(repr(plot))}-{sees_vials}"
    svg: str | None = cache.get(known)
    if svg is None:
        svg = as_svg(plot, link=link if sees_vials else None)
        cache.set(known, svg, later.KEPT_S)
    return mark_safe(svg)  # noqa: S308 - drawn by us; every word in it is escaped


def _tabs(lake: Lake, here: str, request: SignedInRequest) -> list[Tab]:
    from samples.findings.topics import TOPICS

    query = f"?{request.GET.urlencode()}" if request.GET else ""
    return [
        Tab(words, reverse("findings:finding", args=[lake.slug, name]) + query, name == here)
        for name, (words, _) in TOPICS.items()
    ]


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
