"""Django's handle on the front of the house."""

from django.apps import AppConfig


class ServiceConfig(AppConfig):
    name = "service"
    verbose_name = "Service"
