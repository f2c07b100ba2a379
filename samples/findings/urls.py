"""Pages of findings."""

from django.urls import path, re_path

from samples.findings import views

app_name = "findings"
urlpatterns = [
    path("lakes/<slug:slug>/findings/", views.findings, name="findings"),
    path("lakes/<slug:slug>/findings/<slug:topic>/public/", views.public, name="public"),
    path(
        "lakes/<slug:slug>/findings/computations/<int:pk>/", views.computation, name="computation"
    ),
    path("lakes/<slug:slug>/findings/computations/<int:pk>/cancel/", views.cancel, name="cancel"),
    path(
        "lakes/<slug:slug>/findings/computations/<int:pk>/again/",
        views.compute_again,
        name="compute_again",
    ),
    path("lakes/<slug:slug>/findings/<slug:topic>/", views.finding, name="finding"),
    re_path(
        r"^lakes/(?P<slug>[-\w]+)/findings/(?P<topic>[-\w]+)/figure-(?P<place>\d{1,3})\."
        r"(?P<kind>svg|png|csv)$",
        views.figure,
        name="figure",
    ),
    re_path(
        r"^lakes/(?P<slug>[-\w]+)/findings/(?P<topic>[-\w]+)/table-(?P<place>\d{1,3})\."
        r"(?P<kind>csv|xlsx)$",
        views.table,
        name="table",
    ),
]
