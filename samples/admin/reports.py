"""Season reports, as the administrator looks them up."""

from django.contrib import admin

from samples import models
from samples.admin.pages import ShownPages


@admin.register(models.Report)
class ReportPages(ShownPages):
    """Reports are written on their own pages."""

    list_display = ["title", "lake", "season", "version", "changed_by", "changed_at"]
    list_filter = ["lake"]
    search_fields = ["title"]


@admin.register(models.ReportBlock)
class ReportBlockPages(ShownPages):
    list_display = ["report", "place", "kind", "topic", "changed_by", "changed_at"]
    list_filter = ["report__lake", "kind"]
    search_fields = ["report__title"]


@admin.register(models.ReportDraft)
class ReportDraftPages(ShownPages):
    """A draft is frozen: nothing of it is changed."""

    list_display = ["report", "number", "requested_by", "requested_at", "made_at", "version"]
    list_filter = ["report__lake"]
    search_fields = ["report__title"]
    exclude = ["document"]


@admin.register(models.ReportFile)
class ReportFilePages(ShownPages):
    list_display = ["draft", "format", "size_bytes", "written_at"]
    list_filter = ["format"]
    search_fields = ["draft__report__title"]
    exclude = ["file"]
