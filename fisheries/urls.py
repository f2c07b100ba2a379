"""Every address of an installation."""

from django.contrib import admin
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

# The probes, /healthy/ and /ready/, are answered before any of these by the middleware.
urlpatterns = [
    path("", include("samples.urls")),
    path("api/v1/", include("samples.api_urls")),
    path("api/schema/", SpectacularAPIView.as_view(), name="api_schema"),
    path("office/admin/", admin.site.urls),
]

handler400 = "fisheries.errors.bad_request"
handler500 = "fisheries.errors.server_error"
