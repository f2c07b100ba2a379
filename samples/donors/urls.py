"""What donors hear back, and how a donor is forgotten."""

from django.urls import path

from samples.donors.views import everybody, forgetting, messages, office, own

app_name = "donors"
urlpatterns = [
    path("lakes/<slug:slug>/donors/", office.donors, name="donors"),
    path("lakes/<slug:slug>/donors/<int:pk>/", office.donor, name="donor"),
    path("lakes/<slug:slug>/donors/<int:pk>/address/", office.address, name="address"),
    path("lakes/<slug:slug>/donors/<int:pk>/forget/", forgetting.forget, name="forget"),
    path("lakes/<slug:slug>/donors/<int:pk>/card-<int:season_pk>.pdf", office.card, name="card"),
    path(
        "lakes/<slug:slug>/donors/<int:pk>/fish/<int:fish_pk>/certificate.pdf",
        office.certificate,
        name="certificate",
    ),
    path("lakes/<slug:slug>/donors/switches/", office.switches, name="switches"),
    path("lakes/<slug:slug>/donor-messages/", messages.messages, name="messages"),
    path("lakes/<slug:slug>/donor-messages/<int:pk>/", messages.message, name="message"),
    path("lakes/<slug:slug>/donor-messages/<int:pk>/withdraw/", messages.withdraw, name="withdraw"),
    path("lakes/<slug:slug>/donor-messages/<int:pk>/mail/", messages.mail, name="mail"),
    path("ramp/mine/card-<int:season_pk>.pdf", own.card, name="own_card"),
    path("ramp/mine/fish/<int:pk>/certificate.pdf", own.certificate, name="own_certificate"),
    path("ramp/mine/fish/<int:pk>/otolith.jpg", own.picture, name="own_picture"),
    path("ramp/mine/email/<slug:slug>/", own.mail, name="own_mail"),
    path("mail/stop/<str:token>/", everybody.stop_mail, name="stop_mail"),
]
