"""Puts our own site for the administrator in the place of Django's, and our checks beside."""

from django.contrib.admin.apps import AdminConfig


class OfficeAdminConfig(AdminConfig):
    default_site = "fisheries.admin_site.OfficeAdminSite"

    def ready(self) -> None:
        super().ready()
        from fisheries import checks  # noqa: F401 - registers them
