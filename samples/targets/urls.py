"""Pages of this stage."""

from django.http import HttpRequest, HttpResponse
from django.urls import path


def soon(request: HttpRequest, **kwargs: str) -> HttpResponse:  # STUB to be replaced
    return HttpResponse("soon")


app_name = "targets"
urlpatterns = [
    path("lakes/<slug:slug>/coverage/", soon, name="coverage"),
    path("lakes/<slug:slug>/fish/", soon, name="fish"),
    path("lakes/<slug:slug>/targets/", soon, name="targets"),
]
