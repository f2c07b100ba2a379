"""Pages of pictures of otoliths, and the files that they show."""

from django.urls import path

from samples.pictures.views import files, pages, scales, upload

app_name = "pictures"
urlpatterns = [
    path("lakes/<slug:slug>/pictures/", pages.pictures, name="pictures"),
    path("lakes/<slug:slug>/pictures/upload/", upload.upload, name="upload"),
    path("lakes/<slug:slug>/pictures/upload/one/", upload.upload_one, name="upload_one"),
    path("lakes/<slug:slug>/pictures/confirm/", upload.confirm, name="confirm"),
    path("lakes/<slug:slug>/pictures/scales/", scales.scales, name="scales"),
    path("lakes/<slug:slug>/pictures/scales/<int:pk>/", scales.scale, name="scale"),
    path("lakes/<slug:slug>/pictures/<int:pk>/", pages.picture, name="picture"),
    path("lakes/<slug:slug>/pictures/<int:pk>/delete/", pages.delete, name="delete"),
    path("lakes/<slug:slug>/pictures/<int:pk>/copy.jpg", files.copy, name="copy"),
    path("lakes/<slug:slug>/pictures/<int:pk>/small.jpg", files.thumbnail, name="thumbnail"),
    path("lakes/<slug:slug>/pictures/<int:pk>/original/", files.original, name="original"),
    path("lakes/<slug:slug>/pictures/<int:pk>/tiles/", files.tiles, name="tiles"),
    path(
        "lakes/<slug:slug>/pictures/<int:pk>/tiles/<int:level>/<int:column>_<int:row>.jpg",
        files.tile,
        name="tile",
    ),
]
