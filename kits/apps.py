"""Django's handle on the kits app."""

from django.apps import AppConfig


class KitsConfig(AppConfig):
    name = "kits"
    verbose_name = "Kits"
    default_auto_field = "django.db.models.BigAutoField"
