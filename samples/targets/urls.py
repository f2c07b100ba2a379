"""Pages of this stage."""

from django.urls import URLPattern

app_name = "targets"
urlpatterns: list[URLPattern] = []
