"""What a request gets that failed: a page, a number to quote, and when to come back."""

import sys

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string

from fisheries.database import is_outage
from fisheries.files import FilesUnreachable
from fisheries.logs import request_id

RETRY_AFTER_S = 30
AWAY = (
    "Earstone is not available right now. Fish saved on this phone are safe and are sent "
    "when it is back."
)


TOO_LARGE = "This is larger than 4 MB, so it was not saved. Split it and send the parts."


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request that could not be read."""
    if isinstance(exception, RequestDataTooBig):
        return _answer(request, 413, TOO_LARGE, {})
    page = render_to_string("400.html")
    return HttpResponse(page, status=400)


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a request over which the program stumbled; it asks nothing of the database."""
    problem = sys.exc_info()[1]
    if is_outage(problem) or isinstance(problem, FilesUnreachable):
        return _answer(request, 503, AWAY, {"Retry-After": str(RETRY_AFTER_S)})
    return _answer(request, 500, "Something went wrong here. Send it again.", {})


def _answer(
    request: HttpRequest, status: int, sentence: str, headers: dict[str, str]
) -> HttpResponse:
    if request.path.startswith("/api/"):
        words = {"detail": sentence, "request": request_id()}
        return JsonResponse(words, status=status, headers=headers)
    words = {"request_id": request_id(), "sentence": sentence}
    page = render_to_string(f"{status}.html", words)
    return HttpResponse(page, status=status, headers=headers)
