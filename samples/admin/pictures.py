"""Pictures of otoliths and their scales, as the administrator looks them up."""

from django.contrib import admin

from samples import models
from samples.admin.pages import ShownPages


@admin.register(models.Picture)
class PicturePages(ShownPages):
    """Pictures are matched, moved and deleted on the lab's pages."""

    list_display = ["id", "kind", "vial", "objective", "uploaded_by", "uploaded_at"]
    list_filter = ["lake", "kind"]
    search_fields = ["vial__number", "original_name"]
    exclude = ["original", "file", "thumbnail", "tiles"]


@admin.register(models.Objective)
class ObjectivePages(ShownPages):
    list_display = ["name", "lake", "added_by", "added_at"]
    list_filter = ["lake"]
    search_fields = ["name"]


@admin.register(models.PictureScale)
class PictureScalePages(ShownPages):
    """Scales are never changed: another one is set."""

    list_display = ["objective", "um_per_px", "distance_um", "set_by", "set_at"]
    list_filter = ["objective__lake"]
