"""Saved views: kept from a page of coverage or findings, listed, renamed and removed."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission, permissions_of, roles_at
from samples.models import Lake, SavedView
from samples.today import forms, services
from samples.today.presenters.saved_views import ShownView, views_of
from samples.today.rules import viewed_page

# The pages that can be saved are open to these.
MAY_SEE = (Permission.SEE_COVERAGE, Permission.SEE_FISH)


def rights_at(request: SignedInRequest, lake: Lake) -> set[Permission]:
    return permissions_of(roles_at(request.user, lake))


def own_view(request: SignedInRequest, lake: Lake, pk: int) -> ShownView:
    """Return a view that this person may change; others are not there for them."""
    shown = views_of(request.user, lake, rights_at(request, lake))
    found = next((one for one in shown if one.view.pk == pk and one.is_own), None)
    if found is None:
        raise Http404("There is no such view for you.")
    return found


@require_safe
@lake_permission_required(*MAY_SEE)
def saved_views(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the views that this person kept and those that the lake shares."""
    shown = views_of(request.user, lake, rights_at(request, lake))
    context = {
        "lake": lake,
        "own": [one for one in shown if not one.view.is_shared],
        "shared": [one for one in shown if one.view.is_shared],
    }
    return render(request, "today/saved_views.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(*MAY_SEE)
def save_view(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Ask for a name for the address that somebody came from, and keep it."""
    granted = rights_at(request, lake)
    may_share = Permission.SHARE_VIEWS in granted
    is_sent = request.method == "POST"
    said = request.POST if is_sent else request.GET
    path, query = said.get("path", ""), said.get("query", "")
    if not is_sent and not path:
        # Somebody came without a page to save: the list says how one is saved.
        return redirect("today:saved_views", lake.slug)
    form = forms.SaveView(
        request.POST if is_sent else None,
        may_share=may_share,
        initial={"path": path, "query": query},
    )
    page = viewed_page(path, lake.slug)
    if page is None or page.permission not in granted:
        # No page of this lake that this person opens: nothing is told of what it might be.
        return render(request, "today/save_view.html", {"lake": lake, "page": None}, status=422)
    if is_sent and form.is_valid():
        try:
            view = services.save_view(
                lake, request.user, **{"is_shared": False, **form.cleaned_data}
            )
        except services.ViewRefused as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            messages.success(request, f"Saved as {view}. Today and Saved views lead here.")
            return redirect(view.address)
    context = {"lake": lake, "form": form, "page": page, "back": f"{path}?{query}"}
    return render(request, "today/save_view.html", context, status=422 if is_sent else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(*MAY_SEE)
def change_view(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Rename a view of one's own or the lake's, and say whose it is."""
    shown = own_view(request, lake, pk)
    was_shared = shown.view.is_shared
    form = forms.ChangeView(
        request.POST if request.method == "POST" else None,
        may_share=Permission.SHARE_VIEWS in rights_at(request, lake),
        initial={"name": shown.view.name, "is_shared": was_shared},
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.change_view(
                shown.view, request.user, **{"is_shared": was_shared, **form.cleaned_data}
            )
        except services.ViewRefused as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            messages.success(request, _changed_message(shown.view, lake, was_shared=was_shared))
            return redirect("today:saved_views", lake.slug)
    context = {"lake": lake, "form": form, "shown": shown}
    status = 422 if request.method == "POST" else 200
    return render(request, "today/change_view.html", context, status=status)


def _changed_message(view: SavedView, lake: Lake, *, was_shared: bool) -> str:
    if view.is_shared == was_shared:
        return f"The view is now called {view}."
    whose = f"shared at {lake}" if view.is_shared else "only yours"
    return f"{view} is now {whose}."


@require_POST
@lake_permission_required(*MAY_SEE)
def remove_view(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Remove a view of one's own, or one that the lake shares."""
    view = own_view(request, lake, pk).view
    services.remove_view(view)
    messages.success(request, f"{view} is removed. Its page stays.")
    return redirect("today:saved_views", lake.slug)
