"""The phone's doors at the ramp."""

from django.urls import path

from samples.ramp import api

urlpatterns = [
    path("outbox/", api.OutboxView.as_view(), name="outbox"),
    path("phones/", api.PhonesView.as_view(), name="phones"),
    path(
        "fish/<uuid:entry_id>/photo/<slug:sha256>/", api.PhotoView.as_view(), name="photo_of_fish"
    ),
    path("my-fish/", api.MyFishView.as_view(), name="my_fish"),
    path("pick-lists/", api.PickListsView.as_view(), name="pick_lists"),
]
