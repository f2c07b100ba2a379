"""How old was my fish? For anybody with a slip: the one page of fish without a sign-in."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts.client_address import client_network
from samples.accounts.throttles import is_within
from samples.ramp import forms, queries

HOUR_S, DAY_S = 3_600, 86_400
# A person mistypes a few times. A word is one of 16,384: at these rates a vial's takes years.
MOST_OF_A_NETWORK = 20
MOST_OF_A_NUMBER = 10
MOST_OF_ALL = 1_000


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def how_old(request: HttpRequest) -> HttpResponse:
    """Tell species, length and age of the fish of a slip, and nothing else."""
    form = forms.SlipForm(request.POST if request.method == "POST" else None)
    status, wait = 200, 0
    context: dict[str, Any] = {"form": form}
    if request.method == "POST" and form.is_valid():
        number, word = form.cleaned_data["number"], form.cleaned_data["word"]
        wait = _wait_before_try(request, form.digits)
        if wait == 0:
            context |= {"asked": True, "fish": queries.fish_of_slip(number, word)}
        else:
            status, context = 429, context | {"wait": wait, "wait_a_day": wait == DAY_S}
    response = render(request, "ramp/how_old.html", context, status=status)
    response["X-Robots-Tag"] = "noindex, nofollow"
    if status == 429:
        response["Retry-After"] = str(wait)
    return response


def _wait_before_try(request: HttpRequest, digits: str) -> int:
    """Count a try against whoever asks, the number that is asked for, and everybody together.

    Return how many seconds to wait where one of them has had too many, else 0.
    """
    hour = timezone.now().strftime("%Y%m%d%H")
    if not is_within(f"slip-from-{client_network(request)}-{hour}", MOST_OF_A_NETWORK, HOUR_S):
        return HOUR_S
    if not is_within(f"slip-of-{digits}-{hour[:-2]}", MOST_OF_A_NUMBER, DAY_S):
        return DAY_S
    return 0 if is_within(f"slip-{hour}", MOST_OF_ALL, HOUR_S) else HOUR_S
