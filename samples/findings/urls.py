"""Pages of this stage."""

from django.urls import URLPattern

app_name = "findings"
urlpatterns: list[URLPattern] = []
