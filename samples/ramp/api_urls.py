"""The phone's doors at the ramp."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
