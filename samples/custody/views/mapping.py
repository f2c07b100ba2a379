"""Page of archived vials whose box is noted in words alone, and how such a box gets a map."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.accounts.selectors import vials_at
from samples.custody import forms, queries, services
from samples.models import Lake
from samples.rules.plain_text import keepable


@require_http_methods(["GET", "HEAD", "POST"])
@lake_permission_required(Permission.MOVE_VIALS)
def unmapped(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the vials of one box of old records, and lay them out on a map after a question."""
    asked = request.POST if request.method == "POST" else request.GET
    name = keepable(asked.get("box", ""))
    vials = queries.vials_of_unmapped(vials_at(request.user, lake), name)
    if not vials and asked.get("box"):
        raise Http404
    # As the records write it, not as it was asked for.
    name = vials[0].archive_box if vials else name
    form = forms.LayOutForm(
        request.POST or None, box=queries.box_named(lake, name), initial={"box": name}
    )
    laid: list[queries.Laid] = []
    if request.method == "POST" and form.is_valid():
        if "sure" in request.POST:
            try:
                done = _map_box(request, lake, name, form)
            except services.CannotArchive as problem:
                form.add_problem(problem.field, str(problem), code=problem.code)
            else:
                return _laid_out(request, lake, done)
        else:
            box = services.planned_box(lake, name, **form.size_and_place)
            laid = queries.laid_out(vials, box, down=form.is_down)
    context = {
        "lake": lake,
        "name": name,
        "form": form,
        "vials": laid or [queries.Laid(vial) for vial in vials],
        "asks": bool(laid),
        "on_map": sum(bool(one.slot) for one in laid),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "custody/unmapped.html", context, status=status)


def _map_box(
    request: SignedInRequest, lake: Lake, name: str, form: forms.LayOutForm
) -> services.OnMap:
    return services.map_box(
        lake=lake,
        name=name,
        down=form.is_down,
        actor=request.user,
        now=timezone.now(),
        **form.size_and_place,
    )


def _laid_out(request: SignedInRequest, lake: Lake, done: services.OnMap) -> HttpResponse:
    vials = "1 vial is" if done.count == 1 else f"{done.count} vials are"
    words = f"{vials} on the map of box {done.box.name}."
    if not done.left:
        messages.success(request, words)
        return redirect("custody:box", lake.slug, done.box.pk)
    messages.warning(
        request,
        f"{words} {done.left} stayed as noted: scan each into the slot that it lies in.",
        extra_tags="some_left",
    )
    address = reverse("custody:unmapped", args=[lake.slug])
    return redirect(f"{address}?{urlencode({'box': done.box.name})}")
