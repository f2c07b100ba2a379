"""The one app of Earstone."""

from django.apps import AppConfig


class SamplesConfig(AppConfig):
    name = "samples"
    verbose_name = "Earstone"
    default_auto_field = "django.db.models.BigAutoField"
