"""Pages that ask guides for fish, and what the public reads of it."""

from django.urls import path

from samples.asks import views

app_name = "asks"
urlpatterns = [
    path("lakes/<slug:slug>/ask-guides/", views.asks, name="asks"),
    path("lakes/<slug:slug>/ask-guides/stop/", views.stop, name="stop"),
    path("lakes/<slug:slug>/ask-guides/<int:pk>/poster.pdf", views.poster, name="poster"),
    path("still-needed/<slug:slug>/", views.public, name="public"),
    path("still-needed/<slug:slug>/feed/", views.AskFeed(), name="feed"),
]
