"""Signing in, people and links."""

from django.urls import path

from samples.accounts import views

app_name = "accounts"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("me/<str:token>/", views.this_is_me, name="this_is_me"),
    path("lakes/<slug:slug>/people/", views.people, name="people"),
    path("lakes/<slug:slug>/people/<int:pk>/", views.person, name="person"),
    path(
        "lakes/<slug:slug>/people/<int:pk>/links/<int:link_pk>/take-back/",
        views.take_back_link,
        name="take_back_link",
    ),
    path(
        "lakes/<slug:slug>/people/<int:pk>/phones/<int:phone_pk>/take-back/",
        views.take_back_phone,
        name="take_back_phone",
    ),
    path(
        "lakes/<slug:slug>/people/<int:pk>/roles/<int:membership_pk>/take-away/",
        views.take_role_away,
        name="take_role_away",
    ),
]
