"""The administrator's pages: who gets in, and what their policy lets through."""

from collections.abc import Callable
from functools import update_wrapper
from typing import Any, TypeVar, cast

from csp.decorators import csp_replace
from django.contrib.admin import AdminSite
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseBase  # noqa: TID251 - a door
from django.shortcuts import render  # noqa: TID251 - a door
from django.urls import URLPattern, URLResolver, path

View = TypeVar("View", bound=Callable[..., HttpResponseBase])

# Django's own list has a <style> in its head and its history page a style attribute. Scripts
# stay as strict as everywhere: all of them are files.
POLICY = {"style-src": ["'self'", "'unsafe-inline'"]}


class OfficeAdminSite(AdminSite):
    """For the administrator's repairs; the biologist's own pages are elsewhere."""

    site_header = "Earstone: repairs"
    site_title = "Earstone"
    index_title = "Everything that is kept"
    index_template = "admin/index_and_condition.html"

    def get_urls(self) -> list[URLPattern | URLResolver]:
        page = self.admin_view(self.condition)
        return [path("condition/", page, name="condition"), *super().get_urls()]

    def condition(self, request: HttpRequest) -> HttpResponse:
        """Show what is set up wrongly; it names folders and hosts of the machine."""
        if not request.user.is_superuser:
            raise PermissionDenied("This page is for the administrator.")
        from fisheries.doctor import State, examine

        found = examine(request=request)
        # What is wrong stands first.
        order = [State.WRONG, State.LOOK, State.FINE]
        context = {
            **self.each_context(request),
            "title": "Condition of this site",
            "found": sorted(found, key=lambda one: order.index(one.state)),
        }
        return render(request, "admin/condition.html", context)

    def admin_view(self, view: View, cacheable: bool = False) -> View:
        guarded = csp_replace(POLICY)(super().admin_view(view, cacheable))

        def door(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if request.user.is_authenticated and not self.has_permission(request):
                raise PermissionDenied("These pages are for the administrator.")
            return guarded(request, *args, **kwargs)

        return cast(View, update_wrapper(door, view))

    def login(
        self, request: HttpRequest, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """Send everybody to the one page for signing in: its locks and its hours hold here too."""
        if request.user.is_authenticated and not self.has_permission(request):
            raise PermissionDenied("These pages are for the administrator.")
        return redirect_to_login(request.GET.get("next") or self._home())

    def _home(self) -> str:
        from django.urls import reverse

        return reverse("admin:index", current_app=self.name)
