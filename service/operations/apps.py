from django.apps import AppConfig


class OperationsConfig(AppConfig):
    name = "service.operations"
    label = "operations"
    default_auto_field = "django.db.models.BigAutoField"
    verbose_name = "Operations"
