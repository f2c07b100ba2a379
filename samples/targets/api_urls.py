"""The phone's doors at coverage."""

from django.urls import path

from samples.targets import api

urlpatterns = [
    path("needed/", api.NeededView.as_view(), name="needed"),
]
