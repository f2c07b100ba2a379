"""Pages, one line a stage."""

from django.urls import include, path

from samples.today import views as today

urlpatterns = [
    path("", today.home, name="home"),
    path("lakes/<slug:slug>/", today.today, name="today"),
    path("", include("samples.accounts.urls")),
    path("", include("samples.waters.urls")),
    path("", include("samples.vials.urls")),
    path("", include("samples.ramp.urls")),
    path("", include("samples.lab.urls")),
    path("", include("samples.targets.urls")),
    path("", include("samples.findings.urls")),
    path("", include("samples.search.urls")),
]
