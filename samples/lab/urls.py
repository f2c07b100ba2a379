"""Pages of this stage."""

from django.urls import URLPattern

app_name = "lab"
urlpatterns: list[URLPattern] = []
