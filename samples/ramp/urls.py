"""Pages of this stage."""

from django.urls import URLPattern

app_name = "ramp"
urlpatterns: list[URLPattern] = []
