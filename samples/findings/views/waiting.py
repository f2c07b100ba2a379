"""What is shown of a finding that is still worked on: how far it is, and the way to call it off."""

import math
from datetime import datetime
from typing import Any

from django.http import Http404, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.computations.requests import cancel_computation, count_ahead, nobody_works
from samples.findings.computed import FIGURE, FINDING, find_answer, find_figure, parse_query
from samples.findings.topics import TOPICS
from samples.findings.views.asking import question_of
from samples.models import Computation, Lake

State = Computation.State
# What is reached by expectation alone: the rest is when it is done.
MOST_EXPECTED = 90
# What pages of findings ask for; other work has pages of its own.
ASKED_BY_PAGES = (FINDING, FIGURE)


def wait_for(
    request: SignedInRequest, lake: Lake, computation: Computation, *, is_file: bool = True
) -> HttpResponse:
    """Answer for a file that is not there yet: a page that fetches it, and when to ask again."""
    topic = TOPICS[computation.arguments["topic"]]
    back = reverse("findings:finding", args=[lake.slug, topic.public_of or topic.slug])
    context = waiting_context(computation) | {
        "lake": lake,
        "is_file": is_file,
        "back": f"{back}?{computation.arguments['query']}",
    }
    response = render(request, "findings/waiting_for_file.html", context)
    return with_status(response, computation)


def with_status(response: HttpResponse, computation: Computation) -> HttpResponse:
    """Show that the answer is not there yet and when to ask again, or that it failed."""
    if computation.state == State.FAILED:
        response.status_code = 500
        return response
    response.status_code = 202
    if computation.is_open:
        response["Retry-After"] = str(max(1, math.ceil(computation.expected_s)))
    return response


def waiting_context(computation: Computation) -> dict[str, Any]:
    """Return what templates say of a computation."""
    now = timezone.now()
    return {
        "computation": computation,
        "progress": percent_done(computation, now),
        "ahead": count_ahead(computation),
        "nobody_works": nobody_works(computation, now),
        "State": State,
    }


def percent_done(computation: Computation, now: datetime) -> int:
    """Return how far it is: as told by the work, or as far as it should be by now."""
    if computation.state != State.RUNNING or computation.started_at is None:
        return 0
    passed = (now - computation.started_at).total_seconds()
    expected = min(MOST_EXPECTED, 100 * passed / max(computation.expected_s, 0.1))
    return max(computation.progress, int(expected))


@require_safe
@lake_permission_required(Permission.SEE_COVERAGE)
def computation(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show how far a computation is, for the script of a page that waits."""
    row = _at(lake, pk)
    now = timezone.now()
    words = {
        "open": row.is_open,
        "progress": percent_done(row, now),
        "step": row.step,
        "ahead": count_ahead(row),
        "nobody_works": nobody_works(row, now),
    }
    response = JsonResponse(words)
    response["Cache-Control"] = "no-store"
    return response


@require_POST
@lake_permission_required(Permission.SEE_COVERAGE)
def cancel(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Call a computation off."""
    row = _at(lake, pk, kinds=ASKED_BY_PAGES)
    cancel_computation(row.pk, now=timezone.now())
    return HttpResponseRedirect(_asked_at(lake, row))


@require_POST
@lake_permission_required(Permission.SEE_COVERAGE)
def compute_again(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Begin a computation again that failed or was called off."""
    row = _at(lake, pk, kinds=ASKED_BY_PAGES)
    words = parse_query(row.arguments["query"])
    _, question = question_of(request, lake, row.arguments["topic"], words)
    now = timezone.now()
    if question is not None and row.kind == FIGURE:
        place, ending = row.arguments["place"], row.arguments["ending"]
        find_figure(question, place, ending, now=now, again=True)
    elif question is not None:
        find_answer(question, now=now, again=True)
    return HttpResponseRedirect(_asked_at(lake, row))


def _at(lake: Lake, pk: int, *, kinds: tuple[str, ...] = ()) -> Computation:
    """Return a computation of this lake, of one of these kinds where any are named.

    :raises Http404: if there is none such
    """
    rows = Computation.objects.filter(pk=pk, arguments__lake=lake.pk)
    row = (rows.filter(kind__in=kinds) if kinds else rows).first()
    if row is None:
        raise Http404("No such calculation.")
    return row


def _asked_at(lake: Lake, row: Computation) -> str:
    """Return the address of what was asked for."""
    words, topic = row.arguments, TOPICS[row.arguments["topic"]]
    if row.kind == FIGURE:
        place = [lake.slug, words["topic"], words["place"], words["ending"]]
        address = reverse("findings:figure", args=place)
    elif topic.public_of:
        address = reverse("findings:public", args=[lake.slug, topic.public_of])
    else:
        address = reverse("findings:finding", args=[lake.slug, topic.slug])
    return f"{address}?{words['query']}"
