"""Net plans, and fish of net sets that were counted by length."""

from django.contrib import admin

from samples import models
from samples.admin.pages import Pages


@admin.register(models.PlannedSets)
class PlannedSetsPages(Pages):
    list_display = ["season", "arm", "reach", "sets", "net_nights", "net_mesh_mm"]
    list_filter = ["season__lake"]


@admin.register(models.LengthCount)
class LengthCountPages(Pages):
    list_display = ["party", "species", "from_hundredths_mm", "count", "logged_by"]
    list_filter = ["party__lake", "species"]
