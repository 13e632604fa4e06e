"""Django's handle on the catalogue app."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    name = "catalog"
    verbose_name = "Catalogue"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # After the apps are there: the kinds of refusal are the API's, and the API imports the models.
        from catalog import jobs  # noqa: F401, PLC0415 - the handlers of queued work are known once it is imported
        from catalog.api.problem_types import REFUSALS  # noqa: PLC0415
        from catalog.api.rulebook_problem_types import RULEBOOK_REFUSALS  # noqa: PLC0415
        from service.http import problem_types  # noqa: PLC0415

        problem_types.register(*REFUSALS, *RULEBOOK_REFUSALS)
