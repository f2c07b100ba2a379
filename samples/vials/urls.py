"""Pages of this stage."""

from django.http import HttpRequest, HttpResponse
from django.urls import path


def soon(request: HttpRequest, **kwargs: str) -> HttpResponse:  # STUB to be replaced
    return HttpResponse("soon")


app_name = "vials"
urlpatterns = [
    path("lakes/<slug:slug>/labels/", soon, name="labels"),
    path("lakes/<slug:slug>/vials/issue/", soon, name="issue"),
    path("lakes/<slug:slug>/vials/receive/", soon, name="receive"),
    path("lakes/<slug:slug>/vials/find/", soon, name="find"),
]
