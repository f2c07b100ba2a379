"""What stands before every page: ids for the log, probes, and the door that a proxy must find."""

import logging
from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.log import log_response

from fisheries import probes
from fisheries.logs import request_in_log

log = logging.getLogger("fisheries.proxy")

GetResponse = Callable[[HttpRequest], HttpResponse]
# Whoever guesses hosts cannot fill the log.
MOST_WORDS_LOGGED = 20
# A form with a slip in it is no failure.
UNREMARKABLE = {422}


class RequestIdMiddleware:
    """Give each request an id: on its log lines, in its answer's head, on its error page."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with request_in_log() as logged:
            response = self.get_response(request)
            response["X-Request-ID"] = logged.id
            # Django would log it only after the id is forgotten, and once: not again then.
            if response.status_code in UNREMARKABLE:
                response._has_been_logged = True  # type: ignore[attr-defined]
            elif response.status_code >= 400:
                sentence = ("%s: %s", response.reason_phrase, request.path)
                log_response(*sentence, response=response, request=request)
        return response


class ProbeMiddleware:
    """Answer the probes before anything looks at hosts, cookies or sessions."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        probe = probes.PROBES.get(request.path_info)
        return probe(request) if probe else self.get_response(request)


class ProxyMiddleware:
    """Refuse what a proxy passes on wrongly, and tell the administrator once what to set."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response
        self.logged: set[str] = set()

    def __call__(self, request: HttpRequest) -> HttpResponse:
        try:
            request.get_host()
        except DisallowedHost:
            self.log_once(self._wrong_host(request))
            return self._refuse("This site is not known by this name.")
        if settings.SECURE_SSL_REDIRECT and not request.is_secure():
            forwarded = request.headers.get("X-Forwarded-Proto")
            self.log_once(self._wrong_scheme(forwarded))
            if settings.PROXY_COUNT and forwarded is None:
                # A redirect would come back the same way for ever.
                return self._refuse("The way to this site is not set up completely.")
        return self.get_response(request)

    def log_once(self, message: str) -> None:
        """Log a sentence the first time that it is true."""
        if message not in self.logged and len(self.logged) < MOST_WORDS_LOGGED:
            self.logged.add(message)
            log.error(message)

    def _wrong_host(self, request: HttpRequest) -> str:
        host = str(request.META.get("HTTP_HOST", ""))[:100]
        return (
            f"A request came for the host {host!r}, but EARSTONE_HOSTS is "
            f"{', '.join(settings.ALLOWED_HOSTS)}. If people use that name, add it to "
            "EARSTONE_HOSTS; if a proxy put it there, have the proxy pass the Host header on."
        )

    def _wrong_scheme(self, forwarded: str | None) -> str:
        if not settings.PROXY_COUNT:
            return (
                "A request came over plain HTTP and was sent to https. If a proxy speaks HTTPS "
                "in front of this site, set EARSTONE_PROXY_COUNT to 1."
            )
        if forwarded is None:
            return (
                "A request came without X-Forwarded-Proto and was refused. Have the proxy set "
                "X-Forwarded-Proto to https."
            )
        return (
            f"A request came with X-Forwarded-Proto {forwarded[:20]!r} and was sent to https. If "
            "browsers report too many redirects, have the proxy set it to https."
        )

    def _refuse(self, sentence: str) -> HttpResponse:
        page = render_to_string("400.html", {"sentence": sentence})
        response = HttpResponse(page, status=400)
        response._has_been_logged = True  # type: ignore[attr-defined]
        return response
