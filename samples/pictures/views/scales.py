"""Objectives and their scales: two points on a picture of a stage micrometer."""

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, Picture
from samples.pictures import computed, forms, queries, services
from samples.pictures.rules import UnlikelyScale
from samples.pictures.views.upload import on_disk


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def scales(request: SignedInRequest, lake: Lake) -> HttpResponse:
    """List the objectives of a lake with their scales; take in a picture of a stage micrometer."""
    objectives = queries.objectives_at(lake)
    form = forms.MicrometerForm(objectives=objectives)
    if request.method == "POST":
        form = forms.MicrometerForm(request.POST, request.FILES, objectives=objectives)
        if form.is_valid():
            kept = _keep_micrometer(request, lake, form)
            if kept is not None:
                return redirect("pictures:scale", lake.slug, kept.pk)
    context = {"lake": lake, "form": form, "rows": queries.objective_rows(lake)}
    return render(request, "pictures/scales.html", context, status=422 if form.is_bound else 200)


def _keep_micrometer(
    request: SignedInRequest, lake: Lake, form: forms.MicrometerForm
) -> Picture | None:
    """Keep the picture and, if it is new, its objective; say in the form why not."""
    file: UploadedFile = form.cleaned_data["file"]
    now = timezone.now()
    try:
        with on_disk(file) as path:
            objective = form.cleaned_data["objective"] or services.new_objective(
                lake=lake, name=form.cleaned_data["name"], author=request.user, now=now
            )
            kept = services.keep_picture(
                path,
                name=file.name or "",
                lake=lake,
                author=request.user,
                now=now,
                objective=objective,
                is_micrometer=True,
            )
            if kept.picture.kind != Picture.Kind.MICROMETER:
                raise services.CannotKeepPicture(
                    "known", "This file was uploaded as a picture of an otolith. Choose another."
                )
            if kept.picture.objective != objective:
                raise services.CannotKeepPicture(
                    "known",
                    f"This file was uploaded for {kept.picture.objective}. Choose another.",
                )
    except services.CannotKeepPicture as problem:
        form.add_problem("file", problem.sentence, code=problem.code)
        return None
    except services.CannotChangePicture as problem:
        form.add_problem(problem.field, problem.sentence, code=problem.code)
        return None
    return kept.picture


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def scale(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponse:
    """Show a picture of a stage micrometer, and set the scale of its objective on it."""
    micrometers = queries.pictures_at(lake).filter(kind=Picture.Kind.MICROMETER)
    found = get_object_or_404(micrometers, pk=pk)
    form = forms.ScaleForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        try:
            made, count = services.set_scale(
                micrometer=found,
                first=(facts["x1"], facts["y1"]),
                last=(facts["x2"], facts["y2"]),
                distance_um=facts["distance"],
                author=request.user,
                now=timezone.now(),
            )
        except UnlikelyScale as problem:
            form.add_problem(problem.field, problem.sentence, code=problem.code)
        else:
            applied = f" Applied to {count} picture{'' if count == 1 else 's'}." if count else ""
            messages.success(
                request, f"{found.objective}: {made.um_per_px:.4g} µm a pixel.{applied}"
            )
            return redirect("pictures:scales", lake.slug)
    context = {
        "lake": lake,
        "picture": found,
        "form": form,
        "set_before": found.scales_set_on_it.select_related("set_by").order_by("-set_at", "-pk"),
        "tiles_ready": computed.request_tiles(found, now=timezone.now()) is None,
    }
    return render(request, "pictures/scale.html", context, status=422 if form.is_bound else 200)
