"""Puts our own site for the administrator in the place of Django's."""

from django.contrib.admin.apps import AdminConfig


class OfficeAdminConfig(AdminConfig):
    default_site = "fisheries.admin_site.OfficeAdminSite"
