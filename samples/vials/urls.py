"""Pages of this stage."""

from django.urls import path

from samples.vials.views import labels, moving

app_name = "vials"
urlpatterns = [
    path("lakes/<slug:slug>/labels/", labels.labels, name="labels"),
    path("lakes/<slug:slug>/labels/digits/<int:year>/", labels.digits, name="digits"),
    path("lakes/<slug:slug>/labels/printer/<slug:stock>/", labels.printer, name="printer"),
    path(
        "lakes/<slug:slug>/labels/printer/<slug:stock>/test-page.pdf",
        labels.test_page,
        name="test_page",
    ),
    path("lakes/<slug:slug>/labels/runs/<int:pk>/", labels.run, name="run"),
    path("lakes/<slug:slug>/labels/runs/<int:pk>/labels.pdf", labels.run_pdf, name="run_pdf"),
    path("lakes/<slug:slug>/labels/runs/<int:pk>/void/", labels.void, name="void"),
    path("lakes/<slug:slug>/vials/issue/", moving.issue, name="issue"),
    path("lakes/<slug:slug>/vials/take-back/", moving.return_vials, name="take_back"),
    path("lakes/<slug:slug>/vials/receive/", moving.receive, name="receive"),
    path("lakes/<slug:slug>/vials/find/", moving.find, name="find"),
    path("lakes/<slug:slug>/vials/<slug:number>/mark/", moving.mark, name="mark"),
]
