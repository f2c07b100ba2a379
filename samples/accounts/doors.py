"""What a page asks before it opens: who is there, at which lake, and may they."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponseBase

from samples.accounts.roles import May, lakes_where, roles_at
from samples.accounts.scope import lakes_of
from samples.models import Lake, User

P = ParamSpec("P")


class SignedInRequest(HttpRequest):
    """A request of somebody who is signed in."""

    user: User


Page = Callable[Concatenate[SignedInRequest, P], HttpResponseBase]
LakePage = Callable[Concatenate[SignedInRequest, Lake, P], HttpResponseBase]


def signed_in(page: Page[P]) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Open the page to anybody who is signed in."""

    @wraps(page)
    def door(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        return page(cast(SignedInRequest, request), *args, **kwargs)

    return cast(Callable[Concatenate[HttpRequest, P], HttpResponseBase], door)


def may_somewhere(
    what: May,
) -> Callable[[Page[P]], Callable[Concatenate[HttpRequest, P], HttpResponseBase]]:
    """Open the page to those who may do this at one lake or another."""

    def wrap(page: Page[P]) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
        @wraps(page)
        def door(request: SignedInRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not lakes_where(request.user, what):
                raise PermissionDenied(f"You are not set up to {what}.")
            return page(request, *args, **kwargs)

        return signed_in(cast(Page[P], door))

    return wrap


def at_lake(
    *what: May,
) -> Callable[[LakePage[P]], Callable[Concatenate[HttpRequest, str, P], HttpResponseBase]]:
    """Open the page at ``lakes/<slug>/`` to those who may do one of these things there.

    Somebody with no role at the lake is told that there is no such page; somebody with
    another role is told that it is not theirs.
    """

    def wrap(page: LakePage[P]) -> Callable[Concatenate[HttpRequest, str, P], HttpResponseBase]:
        @wraps(page)
        def door(
            request: SignedInRequest, slug: str, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            lake = next((one for one in lakes_of(request.user) if one.slug == slug), None)
            if lake is None or not roles_at(request.user, lake):
                raise Http404("No such lake for you.")
            if not any(lake in lakes_where(request.user, one) for one in what):
                raise PermissionDenied(f"You are not set up to {what[0]} at {lake}.")
            return page(request, lake, *args, **kwargs)

        return cast(Callable[Concatenate[HttpRequest, str, P], HttpResponseBase], signed_in(door))

    return wrap
