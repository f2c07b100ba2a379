"""Pages of this stage."""

from django.http import HttpRequest, HttpResponse
from django.urls import path


def soon(request: HttpRequest, **kwargs: str) -> HttpResponse:  # STUB to be replaced
    return HttpResponse("soon")


app_name = "lab"
urlpatterns = [
    path("lakes/<slug:slug>/reading/", soon, name="grid"),
    path("lakes/<slug:slug>/ages/", soon, name="settle"),
]
