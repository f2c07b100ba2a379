"""What a page needs whose own address signs somebody in."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, cast

from django.http import HttpRequest, HttpResponse  # noqa: TID251 - a door
from django.middleware.csrf import CsrfViewMiddleware
from django.utils.decorators import decorator_from_middleware
from django.views.decorators.csrf import csrf_exempt

P = ParamSpec("P")


def without_referrer(view: Callable[P, HttpResponse]) -> Callable[P, HttpResponse]:
    """Have the browser tell nobody the address of this page, our own server included."""

    @wraps(view)
    def page(*args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        response = view(*args, **kwargs)
        response["Referrer-Policy"] = "no-referrer"
        return response

    return page


class _TokenAlone(CsrfViewMiddleware):
    """A browser that tells no referrer sends "null" as the origin of a form: the token decides."""

    def _origin_verified(self, request: HttpRequest) -> bool:
        return True

    def _check_referer(self, request: HttpRequest) -> None:
        return


def check_csrf_token_alone(view: Callable[P, HttpResponse]) -> Callable[P, HttpResponse]:
    """Take a form by its token, whatever origin the browser names."""
    checked = decorator_from_middleware(_TokenAlone)(view)
    return cast(Callable[P, HttpResponse], csrf_exempt(checked))
