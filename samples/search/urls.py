"""The page of the search box, and the terms that it finds too."""

from django.urls import path

from samples.search import views

app_name = "search"
urlpatterns = [
    path("lakes/<slug:slug>/search/", views.search, name="search"),
    path("lakes/<slug:slug>/terms/", views.terms, name="terms"),
    # Below the pages of the vials, which come before it: no number is a word.
    path("lakes/<slug:slug>/vials/<slug:number>/", views.vial, name="vial"),
]
