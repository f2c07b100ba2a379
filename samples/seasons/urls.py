"""Pages of this stage."""

from django.urls import path

from samples.seasons import views

app_name = "seasons"
urlpatterns = [
    path("lakes/<slug:slug>/coverage/season/", views.progress, name="progress"),
    path("lakes/<slug:slug>/coverage/season.csv", views.weeks_csv, name="weeks_csv"),
    path("lakes/<slug:slug>/coverage/plan/", views.plan, name="plan"),
]
