"""Pages of this stage."""

from django.urls import URLPattern

app_name = "waters"
urlpatterns: list[URLPattern] = []
