from django.apps import AppConfig


class OperationsConfig(AppConfig):
    name = "service.operations"
    label = "operations"
    default_auto_field = "django.db.models.BigAutoField"
    verbose_name = "Operations"

    def ready(self) -> None:
        from service.operations import housekeeping  # noqa: F401, PLC0415 - registers its job once models are there
