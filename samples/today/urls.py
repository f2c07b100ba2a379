"""Pages of saved views; those on which a day begins stand in `samples/urls.py`."""

from django.urls import path

from samples.today.views import day, saved_views

VIEWS = "lakes/<slug:slug>/views"

app_name = "today"
urlpatterns = [
    path("all-lakes/", day.lakes, name="lakes"),
    path(f"{VIEWS}/", saved_views.saved_views, name="saved_views"),
    path(f"{VIEWS}/save/", saved_views.save_view, name="save_view"),
    path(f"{VIEWS}/<int:pk>/", saved_views.change_view, name="change_view"),
    path(f"{VIEWS}/<int:pk>/remove/", saved_views.remove_view, name="remove_view"),
]
