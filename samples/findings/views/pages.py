"""One door for every topic: what was chosen stands in the address, the page follows from it."""

from typing import TYPE_CHECKING
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, has_permission
from samples.findings.computed import Answer, Finding, find_answer, name_donors
from samples.findings.page_model import Page, SettingsOffer
from samples.findings.presenters.figure_html import ListAddress, figures_as_html, script_data
from samples.findings.presenters.table_html import HtmlTable, as_html
from samples.findings.presenters.verdict_html import verdicts_as_html
from samples.findings.topics import OFFERED, TOPICS, public_version
from samples.findings.views.asking import question_of
from samples.findings.views.waiting import wait_for, waiting_context, with_status
from samples.models import Lake
from samples.rules.lake_time import local_day

if TYPE_CHECKING:
    from samples.findings.forms import ChoiceForm


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
    page = name_donors(found.page, named=named) if found else None
    tables = _tables(page)
    first = next((one for one in tables if one.is_shown), None)
    context = {
        "lake": lake,
        "form": form,
        "page": page,
        "kinds": ("svg", "png", "csv"),
        "table_kinds": ("csv", "xlsx"),
        "first_table": first,
        "tables": [one for one in tables if one is not first],
        "method_tables": [one for one in tables if one.folded],
        "file_tables": [one for one in tables if one.in_file_only],
        "coverage": f"{reverse('targets:coverage', args=[lake.slug])}?{_fish_chosen(form)}",
        "topic": topic,
        "query": request.GET.urlencode(),
        "wrong": wrong,
        "size": answer.size,
        "here": TOPICS[topic].title,
        "more_filters": [form[name] for name in TOPICS[topic].more_filters],
        "has_public_version": public_version(topic) is not None,
    }
    if page and page.offer and has_permission(request.user, Permission.EDIT_WATERS, lake):
        context["offer_address"] = _settings_address(lake, page.offer)
    if page:
        listed = _fish_list(lake, form)
        figures = figures_as_html(page, listed)
        linked = has_permission(request.user, Permission.MOVE_VIALS, lake)
        context["figures"] = figures
        context["script_data"] = script_data(page, figures, _vials(lake) if linked else "")
        context["verdicts"] = verdicts_as_html(page.verdicts) if page.verdicts else None
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
        raise Http404("No such public page.")
    form, question = question_of(request, lake, version.slug)
    answer = find_answer(question, now=timezone.now()) if question else Answer()
    if answer.computation:
        return wait_for(request, lake, answer.computation, is_file=False)
    found: Finding | None = answer.result
    page = name_donors(found.page, named=False) if found else None
    context = {
        "lake": lake,
        "page": page,
        "figures": figures_as_html(page) if page else [],
        "tables": _tables(page, show_first=False),
        "today": local_day(timezone.now(), lake.time_zone),
        "form": form,
        "topic": TOPICS[topic],
    }
    return render(request, "findings/public.html", context, status=200 if found else 422)


def _tables(page: Page | None, *, show_first: bool = True) -> list[HtmlTable]:
    """Return the tables of a page: the first that is not folded is shown, the others open."""
    if page is None:
        return []
    of_page = (one for one in page.tables if not one.folded and not one.in_file_only)
    shown = next(of_page, None) if show_first else None
    return [
        as_html(table, place, is_shown=table is shown) for place, table in enumerate(page.tables)
    ]


def _settings_address(lake: Lake, offer: SettingsOffer) -> str:
    """Return the page of the species with what is offered filled in; nothing holds until saved."""
    address = reverse("waters:lake_species", args=[lake.slug, offer.lake_species])
    return f"{address}?{urlencode(offer.values)}"


def _vials(lake: Lake) -> str:
    """Return what comes before the number of a vial in the address of its page."""
    return reverse("search:vial", args=[lake.slug, "0"]).removesuffix("0/")


def _fish_chosen(form: "ChoiceForm", **more: str) -> str:
    """Return of the choice what a list of fish, or coverage, can be narrowed to as well."""
    chosen = {"species": form.given.get("species", ""), **more}
    seasons = form.given.getlist("season")
    if len(seasons) == 1:
        chosen["season"] = seasons[0]
    return urlencode(chosen)


def _fish_list(lake: Lake, form: "ChoiceForm") -> ListAddress:
    arms = {arm.name: str(arm.pk) for arm in form.options.arms}
    address = reverse("targets:fish", args=[lake.slug])

    def of_group(name: str) -> str:
        arm = {"arm": arms[name]} if name in arms else {}
        return f"{address}?{_fish_chosen(form, count='aged', **arm)}"

    return of_group
