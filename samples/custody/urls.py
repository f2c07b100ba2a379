"""Pages of clearing, the archive, and who holds what."""

from django.urls import path

from samples.custody.views import archive, clearing, kits, mapping

app_name = "custody"
urlpatterns = [
    path("lakes/<slug:slug>/clearing/", clearing.trays, name="trays"),
    path("lakes/<slug:slug>/clearing/media/", clearing.media, name="media"),
    path("lakes/<slug:slug>/clearing/<int:pk>/", clearing.tray, name="tray"),
    path("lakes/<slug:slug>/clearing/<int:pk>/finish/", clearing.finish_tray, name="finish_tray"),
    path("lakes/<slug:slug>/archive/", archive.archive, name="archive"),
    path("lakes/<slug:slug>/archive/index.pdf", archive.index_pdf, name="index_pdf"),
    path("lakes/<slug:slug>/archive/unmapped/", mapping.unmapped, name="unmapped"),
    path("lakes/<slug:slug>/archive/out/", archive.out, name="out"),
    path("lakes/<slug:slug>/archive/<int:pk>/", archive.box, name="box"),
    path("lakes/<slug:slug>/archive/<int:pk>/place/", archive.box_place, name="box_place"),
    path("lakes/<slug:slug>/archive/<int:pk>/map.pdf", archive.map_pdf, name="map_pdf"),
    path("lakes/<slug:slug>/kits/", kits.kits, name="kits"),
    path("lakes/<slug:slug>/kits/<int:pk>/", kits.holder, name="holder"),
    path("lakes/<slug:slug>/kits/<int:pk>/card.pdf", kits.card_pdf, name="card_pdf"),
    path("lakes/<slug:slug>/kits/<int:pk>/slips.pdf", kits.slips_pdf, name="slips_pdf"),
]
