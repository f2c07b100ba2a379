"""What a page asks before it opens: who is there, at which lake, and may they."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponseBase

from samples.accounts.permissions import Permission, lakes_with_permission, roles_at
from samples.accounts.selectors import lakes_of
from samples.models import Lake, User

P = ParamSpec("P")


class SignedInRequest(HttpRequest):
    """A request of somebody who is signed in."""

    user: User


View = Callable[Concatenate[SignedInRequest, P], HttpResponseBase]
LakeView = Callable[Concatenate[SignedInRequest, Lake, P], HttpResponseBase]


def login_required(view: View[P]) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Open the page to anybody who is signed in."""

    @wraps(view)
    def wrapper(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        return view(cast(SignedInRequest, request), *args, **kwargs)

    return cast(Callable[Concatenate[HttpRequest, P], HttpResponseBase], wrapper)


def administrator_required(
    view: View[P],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Open the page to the administrator alone: what it changes belongs to no lake."""

    @wraps(view)
    def wrapper(request: SignedInRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not request.user.is_superuser:
            raise PermissionDenied("Only the administrator can open this.")
        return view(request, *args, **kwargs)

    return login_required(cast(View[P], wrapper))


def permission_required(
    permission: Permission,
) -> Callable[[View[P]], Callable[Concatenate[HttpRequest, P], HttpResponseBase]]:
    """Open the page to those who may do this at one lake or another."""

    def wrap(view: View[P]) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
        @wraps(view)
        def wrapper(
            request: SignedInRequest, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            if not lakes_with_permission(request.user, permission):
                raise PermissionDenied(f"You are not set up to {permission}.")
            return view(request, *args, **kwargs)

        return login_required(cast(View[P], wrapper))

    return wrap


def lake_permission_required(
    *permission: Permission,
) -> Callable[[LakeView[P]], Callable[Concatenate[HttpRequest, str, P], HttpResponseBase]]:
    """Open the page at ``lakes/<slug>/`` to those who may do one of these things there.

    Somebody with no role at the lake is told that there is no such page; somebody with
    another role is told that it is not theirs.
    """

    def wrap(view: LakeView[P]) -> Callable[Concatenate[HttpRequest, str, P], HttpResponseBase]:
        @wraps(view)
        def wrapper(
            request: SignedInRequest, slug: str, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            lake = next((one for one in lakes_of(request.user) if one.slug == slug), None)
            if lake is None or not roles_at(request.user, lake):
                raise Http404("No such lake for you.")
            if not any(lake in lakes_with_permission(request.user, one) for one in permission):
                raise PermissionDenied(f"You are not set up to {permission[0]} at {lake}.")
            return view(request, lake, *args, **kwargs)

        return cast(
            Callable[Concatenate[HttpRequest, str, P], HttpResponseBase], login_required(wrapper)
        )

    return wrap
