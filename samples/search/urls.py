"""The page of the search box."""

from django.urls import path

from samples.search import views

app_name = "search"
urlpatterns = [path("lakes/<slug:slug>/search/", views.search, name="search")]
