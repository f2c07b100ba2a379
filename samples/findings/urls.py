"""Pages of this stage."""

from django.urls import path

from samples.findings import views

app_name = "findings"
urlpatterns = [
    path("lakes/<slug:slug>/length-at-age/", views.length_at_age, name="length_at_age"),
    path("lakes/<slug:slug>/length-at-age.csv", views.length_at_age_csv, name="length_at_age_csv"),
]
