"""The list of pictures of a lake, and the page of one."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, Picture
from samples.pictures import computed, forms, queries, services
from samples.pictures.views.upload import file_as_typed
from samples.rules.plain_text import keepable
from samples.rules.vial_number import grouped

MOST_TYPED = 20


@require_safe
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def pictures(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """Show the pictures of a lake by vial number."""
    typed = keepable(request.GET.get("vial", "")).strip()[:MOST_TYPED]
    found = queries.pictures_of_vials(lake)
    digits = "".join(sign for sign in typed if sign.isdecimal())
    if digits:
        found = found.filter(vial__number__contains=digits)
    page = Paginator(found, queries.PICTURES_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "lake": lake,
        "page": page,
        "typed": typed,
        "aside_count": queries.pictures_aside(lake).count(),
    }
    return render(request, "pictures/pictures.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def picture(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show one picture in the viewer, and change what is noted of it."""
    found = get_object_or_404(
        queries.pictures_at(lake).select_related("confirmed_by", "scale__set_by"), pk=pk
    )
    if found.kind == Picture.Kind.MICROMETER:
        return redirect("pictures:scale", lake.slug, pk)
    objectives = queries.objectives_at(lake)
    if request.method != "POST":
        form = forms.PictureForm(initial=_initial(found), objectives=objectives)
        return _picture_page(request, lake, found, form)
    form = forms.PictureForm(request.POST, objectives=objectives)
    names = ("side", "note", "objective")
    if not form.is_valid() or not file_as_typed(
        found, form, actor=request.user, **{name: form.cleaned_data[name] for name in names}
    ):
        return _picture_page(request, lake, found, form, status=422)
    is_aside = not form.cleaned_data["vial"]
    messages.success(request, "Picture saved, and kept aside." if is_aside else "Picture saved.")
    return redirect("pictures:picture", lake.slug, pk)


@require_POST
@lake_permission_required(Permission.READ_OTOLITHS)
def delete(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Delete a picture that is kept aside."""
    found = get_object_or_404(Picture, lake=lake, pk=pk)
    try:
        services.delete_picture(picture=found)
    except services.CannotChangePicture as problem:
        messages.error(request, problem.sentence, extra_tags=problem.code)
        return redirect("pictures:picture", lake.slug, pk)
    messages.success(request, f"{found.original_name} deleted.")
    return redirect("pictures:confirm", lake.slug)


def _initial(found: Picture) -> dict[str, Any]:
    return {
        "vial": grouped(found.vial.number) if found.vial else "",
        "side": found.side,
        "objective": found.objective_id or "",
        "note": found.note,
    }


def _picture_page(
    request: SignedInRequest,
    lake: Lake,
    found: Picture,
    form: forms.PictureForm,
    *,
    status: int = 200,
) -> HttpResponse:
    same_vial = list(queries.pictures_of(found.vial)) if found.vial else []
    without_scale = found.objective if found.scale is None else None
    context = {
        "lake": lake,
        "picture": found,
        "form": form,
        "same_vial": same_vial if len(same_vial) > 1 else [],
        "tiles_ready": computed.request_tiles(found, now=timezone.now()) is None,
        "other_scale": queries.newest_scale(without_scale) if without_scale else None,
        "megapixels": found.width_px * found.height_px / 1e6,
    }
    return render(request, "pictures/picture.html", context, status=status)
