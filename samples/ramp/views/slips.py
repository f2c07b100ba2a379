"""How old was my fish? For anybody with a slip: the one page of fish without a sign-in."""

import math
from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.defaultfilters import pluralize
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts.client_address import client_network
from samples.accounts.throttles import Limit, count_try, take_back_try
from samples.ramp import forms, queries

HOUR_S, DAY_S = 3_600, 86_400
# Wrong tries. A person mistypes a few times. A word is one of 16,384: at these rates a vial's
# takes years.
MOST_OF_A_NETWORK = 20
MOST_OF_A_NUMBER = 10
# Above so many of everybody together, each network has a few: whoever guesses from many is held
# up, and whoever has a slip never has to wait for them.
BUSY_FROM = 1_000
MOST_OF_A_NETWORK_WHEN_BUSY = 3
_EVERYBODY = Limit("slip", BUSY_FROM, HOUR_S)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def how_old(request: HttpRequest) -> HttpResponse:
    """Tell species, length and age of the fish of a slip, and nothing else."""
    form = forms.SlipForm(request.POST if request.method == "POST" else None)
    status = 200
    context: dict[str, Any] = {"form": form}
    wait_s = 0
    if request.method == "POST" and form.is_valid():
        number, now = form.cleaned_data["number"], timezone.now()
        limits = _limits(request, number, now)
        wait_s = count_try(limits, now)
        if wait_s:
            status, context = 429, context | {"wait": _in_words(wait_s)}
        else:
            fish = queries.fish_of_slip(number, form.cleaned_data["word"])
            context |= {"asked": True, "fish": fish}
            if fish is None:
                _EVERYBODY.count(now)
            else:
                take_back_try(limits, now)
    response = render(request, "ramp/how_old.html", context, status=status)
    response["X-Robots-Tag"] = "noindex, nofollow"
    if wait_s:
        response["Retry-After"] = str(wait_s)
    return response


def _limits(request: HttpRequest, number: str, now: datetime) -> list[Limit]:
    """Return what a wrong try counts against: whoever asks, and the number."""
    most = MOST_OF_A_NETWORK_WHEN_BUSY if _EVERYBODY.is_reached(now) else MOST_OF_A_NETWORK
    return [
        Limit(f"slip-from-{client_network(request)}", most, HOUR_S),
        Limit(f"slip-of-{number}", MOST_OF_A_NUMBER, DAY_S),
    ]


def _in_words(seconds: int) -> str:
    """Return a time to wait in words, rounded up: whoever waits so long is let in."""
    unit_s, unit = (60, "minute") if seconds <= HOUR_S else (HOUR_S, "hour")
    count = math.ceil(seconds / unit_s)
    return f"{count} {unit}{pluralize(count)}"
