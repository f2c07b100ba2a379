"""Pages of season reports."""

from django.urls import path, re_path

from samples.reports import views

app_name = "reports"
urlpatterns = [
    path("lakes/<slug:slug>/findings/<slug:topic>/report/", views.add, name="add"),
    path("lakes/<slug:slug>/reports/", views.reports, name="reports"),
    path("lakes/<slug:slug>/reports/<int:pk>/", views.report, name="report"),
    path("lakes/<slug:slug>/reports/<int:pk>/make/", views.make, name="make"),
    path("lakes/<slug:slug>/reports/<int:pk>/blocks/", views.add_block, name="add_block"),
    path("lakes/<slug:slug>/reports/<int:pk>/blocks/<int:block>/", views.block, name="block"),
    path("lakes/<slug:slug>/reports/<int:pk>/blocks/<int:block>/move/", views.move, name="move"),
    path(
        "lakes/<slug:slug>/reports/<int:pk>/blocks/<int:block>/remove/",
        views.remove,
        name="remove",
    ),
    re_path(
        r"^lakes/(?P<slug>[-\w]+)/reports/(?P<pk>\d{1,9})/draft-(?P<number>\d{1,4})\."
        r"(?P<kind>[a-z]{3,6})$",
        views.draft_file,
        name="draft_file",
    ),
]
