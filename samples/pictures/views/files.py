"""Files of pictures, sent to those who may see them from a place that never runs anything."""

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, Picture
from samples.pictures import computed, services

NOTHING_RUNS = "default-src 'none'; sandbox"


@require_safe
@lake_permission_required(Permission.READ_OTOLITHS)
def copy(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponseBase:
    """Send the whole picture: always as a JPEG of ours."""
    found = _picture_of(lake, pk)
    return _jpeg(request, found.file, found.sha256, f"picture-{pk}.jpg")


@require_safe
@lake_permission_required(Permission.READ_OTOLITHS)
def thumbnail(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponseBase:
    """Send the small picture."""
    found = _picture_of(lake, pk)
    return _jpeg(request, found.thumbnail, found.thumbnail_sha256, f"picture-{pk}-small.jpg")


@require_safe
@lake_permission_required(Permission.READ_OTOLITHS)
def original(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponseBase:
    """Send the file as it was uploaded, to be saved: no browser shows it."""
    found = _picture_of(lake, pk)
    response = FileResponse(
        _opened(found.original),
        as_attachment=True,
        filename=found.original_name,
        content_type="application/octet-stream",
    )
    return _guarded(response)


@require_safe
@never_cache
@lake_permission_required(Permission.READ_OTOLITHS)
def tiles(request: SignedInRequest, lake: Lake, pk: int) -> JsonResponse:
    """Say whether the tiles of a picture are there; they are begun if not."""
    state, sentence = computed.state_of_tiles(_picture_of(lake, pk), now=timezone.now())
    return JsonResponse({"state": state, "sentence": sentence})


@require_safe
@lake_permission_required(Permission.READ_OTOLITHS)
def tile(
    request: SignedInRequest, lake: Lake, pk: int, level: int, column: int, row: int
) -> HttpResponseBase:
    """Send one tile of a picture."""
    found = _picture_of(lake, pk)
    name = f"{level}/{column}_{row}"
    etag = f'"{found.sha256}-{name}"'
    response = get_conditional_response(request, etag=etag)
    if response is None:
        data = services.read_tile(found, name)
        if data is None:
            raise Http404("No such tile.")
        response = HttpResponse(data, content_type="image/jpeg")
    return _guarded(response, etag)


def _picture_of(lake: Lake, pk: int) -> Picture:
    return get_object_or_404(Picture, lake=lake, pk=pk)


def _jpeg(request: SignedInRequest, file: FieldFile, sha256: str, name: str) -> HttpResponseBase:
    etag = f'"{sha256}"'
    response: HttpResponseBase = get_conditional_response(request, etag=etag) or FileResponse(
        _opened(file), content_type="image/jpeg", filename=name
    )
    return _guarded(response, etag)


def _opened(file: FieldFile) -> FieldFile:
    try:
        file.open("rb")
    except FileNotFoundError as problem:
        raise Http404("The file of this picture is missing.") from problem
    return file


def _guarded(response: HttpResponseBase, etag: str = "") -> HttpResponseBase:
    """Return an answer that runs nothing, and that is asked about anew at each look.

    A sign-in may end, and with it what may be seen.
    """
    if etag:
        response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    response["Content-Security-Policy"] = NOTHING_RUNS
    response["X-Content-Type-Options"] = "nosniff"
    return response
