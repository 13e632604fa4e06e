"""Django's handle on the front of the house."""

from django.apps import AppConfig
from django.contrib.admin.apps import AdminConfig


class ServiceConfig(AppConfig):
    name = "service"
    verbose_name = "Service"

    def ready(self) -> None:
        from service.http import schema  # noqa: F401, PLC0415 - registers how keys are described, once DRF is there


class EditingDeskConfig(AdminConfig):
    default_site = "service.editing_desk.EditingDesk"
