"""Pages of the lab: reading otoliths and settling ages."""

from django.urls import path

from samples.lab.views import ages, grid, marks, swaps

app_name = "lab"
urlpatterns = [
    path("lakes/<slug:slug>/reading/", grid.grid, name="grid"),
    path("lakes/<slug:slug>/reading/save/", grid.save_row, name="save_row"),
    path("lakes/<slug:slug>/reading/<int:pk>/take-back/", grid.withdraw_reading, name="take_back"),
    path("lakes/<slug:slug>/reading/<str:number>/marks/", marks.marks, name="marks"),
    path("lakes/<slug:slug>/reading/pictures/<int:pk>/profile/", marks.profile, name="profile"),
    path("lakes/<slug:slug>/ages/", ages.settle, name="settle"),
    path("lakes/<slug:slug>/ages/work-out/", ages.work_out, name="work_out"),
    path("lakes/<slug:slug>/ages/swapped/", swaps.swapped, name="swapped"),
    path("lakes/<slug:slug>/ages/swapped/check/", swaps.check_vials, name="check_vials"),
    path("lakes/<slug:slug>/ages/<str:number>/", ages.one_fish, name="vial"),
    path("lakes/<slug:slug>/ages/<str:number>/decide/", ages.decide, name="decide"),
    path("lakes/<slug:slug>/ages/<str:number>/undo/", ages.undo, name="undo"),
]
