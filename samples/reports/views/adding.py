"""Adding a finding to a report, with the choice that its page shows."""

from urllib.parse import parse_qsl, urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.findings.computed import Question, parse_query, read_question
from samples.findings.topics import OFFERED
from samples.models import LONGEST_QUERY, Lake, Report
from samples.reports import forms, services
from samples.reports.queries import chosen_fish
from samples.rules.lake_time import local_day


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.WRITE_REPORTS)
def add(request: SignedInRequest, lake: Lake, topic: str) -> HttpResponse:
    """Choose the report that a finding is added to, or start one with it."""
    if topic not in OFFERED:
        raise Http404("No such finding.")
    query = tidy_query(request.META.get("QUERY_STRING", ""))
    question = _question(lake, topic, query)
    form = forms.AddFinding(request.POST or None, lake=lake)
    if request.method == "POST" and question is not None and form.is_valid():
        try:
            report = _report(request, lake, form)
            block = services.add_finding(
                report, topic=topic, query=query, actor=request.user, now=timezone.now()
            )
        except services.ReportRefused as problem:
            form.add_problem(problem.field or None, problem.sentence, code=problem.code)
        else:
            messages.success(request, f"{OFFERED[topic].title} is in the report.")
            address = reverse("reports:report", args=[lake.slug, report.pk])
            return redirect(f"{address}#block-{block.pk}")
    back = reverse("findings:finding", args=[lake.slug, topic])
    context = {
        "lake": lake,
        "form": form,
        "title": OFFERED[topic].title,
        "choice": chosen_fish(question) if question else "",
        "back": f"{back}?{query}" if query else back,
    }
    status = 422 if request.method == "POST" or question is None else 200
    return render(request, "reports/add.html", context, status=status)


def tidy_query(query: str) -> str:
    """Return a choice as its address says it, without what the address leaves open."""
    return urlencode([(name, value) for name, value in parse_qsl(query) if name != "page"])


def _question(lake: Lake, topic: str, query: str) -> Question | None:
    """Return what is asked; nothing where it is wrong, or too long to be kept."""
    if len(query) > LONGEST_QUERY:
        return None
    today = local_day(timezone.now(), lake.time_zone)
    return read_question(lake, OFFERED[topic], parse_query(query), today=today)[1]


def _report(request: SignedInRequest, lake: Lake, form: forms.AddFinding) -> Report:
    chosen = form.cleaned_data
    if chosen["report"] != forms.NEW:
        return form.by_key[chosen["report"]]
    return services.start_report(
        lake,
        chosen["season"],
        title=chosen["title"],
        authors=str(request.user),
        actor=request.user,
        now=timezone.now(),
    )
