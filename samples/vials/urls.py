"""Pages of this stage."""

from django.urls import path

from samples.vials.views import labels, moving, planning, printing, stocks

app_name = "vials"
urlpatterns = [
    path("lakes/<slug:slug>/labels/", labels.labels, name="labels"),
    path("lakes/<slug:slug>/labels/digits/<int:year>/", labels.digits, name="digits"),
    path("lakes/<slug:slug>/labels/sheets/<int:page>.png", planning.picture, name="picture"),
    path("lakes/<slug:slug>/labels/stocks/", stocks.stocks, name="stocks"),
    path("lakes/<slug:slug>/labels/stocks/new/", stocks.add_stock, name="add_stock"),
    path(
        "lakes/<slug:slug>/labels/stocks/sheets/<int:page>.png",
        stocks.stock_picture,
        name="stock_picture",
    ),
    path("lakes/<slug:slug>/labels/stocks/<int:pk>/", stocks.stock, name="stock"),
    path(
        "lakes/<slug:slug>/labels/stocks/<int:pk>/retire/",
        stocks.retire_stock,
        name="retire_stock",
    ),
    path("lakes/<slug:slug>/labels/printer/<slug:stock>/", stocks.printer, name="printer"),
    path(
        "lakes/<slug:slug>/labels/printer/<slug:stock>/test-page.pdf",
        stocks.test_page,
        name="test_page",
    ),
    path("lakes/<slug:slug>/labels/runs/<int:pk>/", printing.run, name="run"),
    path("lakes/<slug:slug>/labels/runs/<int:pk>/labels.pdf", printing.run_pdf, name="run_pdf"),
    path("lakes/<slug:slug>/labels/runs/<int:pk>/void/", printing.void, name="void"),
    path("lakes/<slug:slug>/labels/reprint/", printing.reprint, name="reprint"),
    path("lakes/<slug:slug>/labels/prints/<int:pk>/", printing.label_print, name="print"),
    path(
        "lakes/<slug:slug>/labels/prints/<int:pk>/labels.pdf", printing.print_pdf, name="print_pdf"
    ),
    path(
        "lakes/<slug:slug>/labels/prints/<int:pk>/status/",
        printing.print_status,
        name="print_status",
    ),
    path("lakes/<slug:slug>/labels/prints/<int:pk>/again/", printing.draw_again, name="draw_again"),
    path("lakes/<slug:slug>/vials/issue/", moving.issue, name="issue"),
    path("lakes/<slug:slug>/vials/take-back/", moving.return_vials, name="take_back"),
    path("lakes/<slug:slug>/vials/receive/", moving.receive, name="receive"),
    path("lakes/<slug:slug>/vials/find/", moving.find, name="find"),
    path("lakes/<slug:slug>/vials/<slug:number>/mark/", moving.mark, name="mark"),
]
