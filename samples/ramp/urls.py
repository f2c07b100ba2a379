"""The ramp's pages, and those for its held entries."""

from django.urls import path

from samples.ramp import views

app_name = "ramp"
urlpatterns = [
    # Short and upper-case: it stands in the code on every label, where each letter counts.
    path("V/<str:number>", views.vial_link, name="vial_link"),
    # Said aloud, and written on slips.
    path("how-old/", views.how_old, name="how_old"),
    path("ramp/app/", views.shell, name="shell"),
    path("ramp/app/<slug:version>.js", views.script, name="script"),
    # At the root, since a worker keeps only what lies below its own address.
    path("worker.js", views.worker, name="worker"),
    path("earstone.webmanifest", views.manifest, name="manifest"),
    path("ramp/", views.log, name="log"),
    path("ramp/party/open/", views.open_party, name="open_party"),
    path("ramp/party/change/", views.change_party, name="change_party"),
    path("ramp/party/close/", views.close_party, name="close_party"),
    path("ramp/party/shift/", views.shift, name="shift"),
    path("ramp/party/count/", views.count, name="count"),
    path("ramp/party/carry-on/", views.carry_on, name="carry_on"),
    path("ramp/party/<uuid:party_id>/reopen/", views.reopen_party, name="reopen_party"),
    path("ramp/count/<uuid:entry_id>/undo/", views.undo_count, name="undo_count"),
    path("ramp/fish/<uuid:entry_id>/correct/", views.correct, name="correct"),
    path("ramp/fish/<uuid:entry_id>/undo/", views.undo, name="undo"),
    path("ramp/mine/", views.mine, name="mine"),
    path("ramp/screen/", views.screen, name="screen"),
    path("lakes/<slug:slug>/fish/<int:pk>/photo/", views.photo, name="photo"),
    path("lakes/<slug:slug>/held/", views.held, name="held"),
    path("lakes/<slug:slug>/held/paste/", views.paste, name="paste"),
    path("lakes/<slug:slug>/held/<int:pk>/", views.held_entry, name="held_entry"),
    path("lakes/<slug:slug>/held/fish/<int:pk>/", views.give_vial, name="give_vial"),
]
