"""The page that a mail's link leads to: it stops them, without a sign-in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from samples.donors import services


# The link is the proof: a mail program that posts to it has no cookie of ours.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def stop_mail(request: HttpRequest, token: str) -> HttpResponse:
    """Stop the mails of one address. Looking at the page changes nothing: scanners open links."""
    address = services.address_of_token(token)
    is_stopped = address is None or address.stopped_at is not None
    if request.method == "POST" and address is not None:
        services.stop_address(address, now=timezone.now())
        is_stopped = True
    context = {"is_stopped": is_stopped, "lake": address.donor.lake if address else None}
    return render(request, "donors/stop_mail.html", context)
