"""Pages of this stage."""

from django.urls import path

from samples.targets import views

app_name = "targets"
urlpatterns = [
    path("ramp/needed/", views.needed, name="needed"),
    path("lakes/<slug:slug>/coverage/", views.coverage, name="coverage"),
    path("lakes/<slug:slug>/coverage.csv", views.coverage_csv, name="coverage_csv"),
    path("lakes/<slug:slug>/coverage/worth/", views.worth, name="worth"),
    path("lakes/<slug:slug>/fish/", views.fish, name="fish"),
    path("lakes/<slug:slug>/fish.csv", views.fish_csv, name="fish_csv"),
    path("lakes/<slug:slug>/fish.xlsx", views.fish_xlsx, name="fish_xlsx"),
    path("lakes/<slug:slug>/targets/", views.targets, name="targets"),
]
