"""One door for every topic: what was chosen stands in the address, the page follows from it."""

from dataclasses import dataclass

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.findings.computed import Answer, Finding, find_answer, name_donors
from samples.findings.figures import thinned_text
from samples.findings.presenters.table_html import HtmlTable, as_html
from samples.findings.topics import OFFERED, TOPICS, public_version
from samples.findings.views.asking import question_of
from samples.findings.views.waiting import wait_for, waiting_context, with_status
from samples.models import Lake
from samples.rules.lake_time import local_day


@dataclass(frozen=True, slots=True)
class Drawn:
    """A figure of the page: its SVG, and where it is saved from."""

    svg: SafeString
    caption: str
    place: int

    @property
    def linked(self) -> bool:
        return 'role="group"' in self.svg


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def findings(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Lead on to the first finding."""
    return redirect("findings:finding", lake.slug, next(iter(OFFERED)))


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def finding(request: SignedInRequest, lake: Lake, topic: str) -> HttpResponse:
    """Show one finding of the fish chosen, or how far it is, over what was found before."""
    form, question = question_of(request, lake, topic)
    answer = find_answer(question, now=timezone.now()) if question else Answer()
    found: Finding | None = answer.result or answer.earlier
    named = has_permission(request.user, Permission.SEE_DONORS, lake)
    wrong = form.ready and bool(form.errors)
    context = {
        "lake": lake,
        "form": form,
        "page": name_donors(found.page, named=named) if found else None,
        "drawn": _drawn(found),
        "tables": _tables(found),
        "topic": topic,
        "query": request.GET.urlencode(),
        "wrong": wrong,
        "size": answer.size,
        "here": TOPICS[topic].title,
        "more_filters": [form[name] for name in TOPICS[topic].more_filters],
        "has_public_version": public_version(topic) is not None,
    }
    if answer.computation is None:
        status = 422 if wrong else 200
        return render(request, "findings/finding.html", context, status=status)
    context |= waiting_context(answer.computation)
    return with_status(render(request, "findings/finding.html", context), answer.computation)


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def public(request: SignedInRequest, lake: Lake, topic: str) -> HttpResponse:
    """Show the one page for the public, to print or send."""
    version = public_version(topic)
    if version is None:
        raise Http404("There is no such page for the public.")
    form, question = question_of(request, lake, version.slug)
    answer = find_answer(question, now=timezone.now()) if question else Answer()
    if answer.computation:
        return wait_for(request, lake, answer.computation, is_file=False)
    found: Finding | None = answer.result
    context = {
        "lake": lake,
        "page": name_donors(found.page, named=False) if found else None,
        "drawn": _drawn(found),
        "today": local_day(timezone.now(), lake.time_zone),
        "form": form,
        "topic": TOPICS[topic],
    }
    return render(request, "findings/public.html", context, status=200 if found else 422)


def _drawn(found: Finding | None) -> list[Drawn]:
    if found is None:
        return []
    pairs = zip(found.page.plots, found.svgs, strict=True)
    return [
        # Drawn by us, its words escaped.
        Drawn(mark_safe(svg), f"{plot.caption} {thinned_text(plot)}".strip(), place)  # noqa: S308
        for place, (plot, svg) in enumerate(pairs)
    ]


def _tables(found: Finding | None) -> list[HtmlTable]:
    return [as_html(table) for table in found.page.tables] if found else []
