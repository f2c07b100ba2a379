"""Signing in, people and links."""

from django.urls import path

from samples.accounts.views import account, lost_password, people, signing_in

app_name = "accounts"
urlpatterns = [
    path("sign-in/", signing_in.sign_in, name="sign_in"),
    path("sign-in/as/", signing_in.sign_in_as, name="sign_in_as"),
    path("sign-out/", signing_in.sign_out, name="sign_out"),
    path("account/", account.account, name="account"),
    path("account/password/", account.change_password, name="change_password"),
    path("account/sessions/<int:pk>/end/", account.end_session, name="end_session"),
    path("account/phones/<int:pk>/end/", account.end_phone, name="end_phone"),
    path("account/sign-out-everywhere/", account.sign_out_everywhere, name="sign_out_everywhere"),
    path("signed-out/", account.signed_out_everywhere, name="signed_out_everywhere"),
    path("password/", lost_password.lost_password, name="lost_password"),
    path("password/<str:key>/<str:token>/", account.password_by_link, name="password_by_link"),
    path("me/<str:token>/", signing_in.this_is_me, name="this_is_me"),
    path("lakes/<slug:slug>/people/", people.people, name="people"),
    path("lakes/<slug:slug>/people/<int:pk>/", people.person, name="person"),
    path(
        "lakes/<slug:slug>/people/<int:pk>/links/<int:link_pk>/take-back/",
        people.revoke_link,
        name="take_back_link",
    ),
    path(
        "lakes/<slug:slug>/people/<int:pk>/phones/<int:phone_pk>/take-back/",
        people.revoke_phone,
        name="take_back_phone",
    ),
    path(
        "lakes/<slug:slug>/people/<int:pk>/roles/<int:membership_pk>/take-away/",
        people.remove_role,
        name="take_role_away",
    ),
]
