"""Every address of an installation."""

from django.contrib import admin
from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView


def healthy(request: HttpRequest) -> HttpResponse:
    """Say that the program answers; it asks nothing of the database."""
    return HttpResponse("ok", content_type="text/plain")


urlpatterns = [
    path("", include("samples.urls")),
    path("api/v1/", include("samples.api_urls")),
    path("api/schema/", SpectacularAPIView.as_view(), name="api_schema"),
    path("healthy/", healthy, name="healthy"),
    path("office/admin/", admin.site.urls),
]
