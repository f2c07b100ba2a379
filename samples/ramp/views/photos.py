"""The photo of a fish, sent to those who may see it from a place that never runs anything."""

from django.http import FileResponse, Http404, HttpResponseBase
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from samples.accounts.decorators import SignedInRequest, lake_permission_required
from samples.accounts.permissions import Permission
from samples.models import Lake, Photo


@require_safe
@lake_permission_required(Permission.MOVE_VIALS)
def photo(request: SignedInRequest, lake: Lake, pk: int) -> HttpResponseBase:
    """Send the photo of a fish of the lake: always as a JPEG, whatever its bytes are."""
    found = Photo.objects.filter(fish=pk, fish__lake=lake).first()
    if found is None:
        raise Http404("No photo of this fish.")
    etag = f'"{found.sha256}"'
    response = get_conditional_response(request, etag=etag) or _sent(found)
    # The address stays the same when another photo takes its place, and a sign-in may end:
    # each look asks again.
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return response


def _sent(found: Photo) -> FileResponse:
    try:
        file = found.file.open("rb")
    except FileNotFoundError as problem:
        raise Http404("The file of this photo is missing.") from problem
    name = f"fish-{found.fish_id}.jpg"
    response = FileResponse(file, content_type="image/jpeg", filename=name)
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response
