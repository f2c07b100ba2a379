"""Pages of this stage."""

from django.http import HttpRequest, HttpResponse
from django.urls import path


def soon(request: HttpRequest, **kwargs: str) -> HttpResponse:  # STUB to be replaced
    return HttpResponse("soon")


app_name = "ramp"
urlpatterns = [
    path("ramp/", soon, name="log"),
    path("lakes/<slug:slug>/held/", soon, name="held"),
]
