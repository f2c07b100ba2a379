"""Pages of this stage."""

from django.http import HttpRequest, HttpResponse
from django.urls import path


def soon(request: HttpRequest, **kwargs: str) -> HttpResponse:  # STUB to be replaced
    return HttpResponse("soon")


app_name = "findings"
urlpatterns = [
    path("lakes/<slug:slug>/length-at-age/", soon, name="length_at_age"),
]
