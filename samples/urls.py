"""Pages, one line a stage."""

from django.urls import include, path

from samples.today.views import day

urlpatterns = [
    path("", day.home, name="home"),
    path("lakes/<slug:slug>/", day.today, name="today"),
    path("", include("samples.today.urls")),
    path("", include("samples.accounts.urls")),
    path("", include("samples.waters.urls")),
    path("", include("samples.vials.urls")),
    path("", include("samples.custody.urls")),
    path("", include("samples.ramp.urls")),
    path("", include("samples.lab.urls")),
    path("", include("samples.pictures.urls")),
    path("", include("samples.targets.urls")),
    path("", include("samples.asks.urls")),
    path("", include("samples.nets.urls")),
    path("", include("samples.seasons.urls")),
    path("", include("samples.donors.urls")),
    path("", include("samples.findings.urls")),
    path("", include("samples.reports.urls")),
    path("", include("samples.search.urls")),
]
