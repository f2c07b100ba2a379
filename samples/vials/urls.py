"""Pages of this stage."""

from django.urls import URLPattern

app_name = "vials"
urlpatterns: list[URLPattern] = []
