"""The phone's doors, one line a stage."""

from django.urls import include, path

urlpatterns = [
    path("", include("samples.ramp.api_urls")),
    path("", include("samples.targets.api_urls")),
]
