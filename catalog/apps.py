"""Django's handle on the catalogue app."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    name = "catalog"
    verbose_name = "Catalogue"
    default_auto_field = "django.db.models.BigAutoField"
