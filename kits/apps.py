"""Django's handle on the kits app."""

from django.apps import AppConfig


class KitsConfig(AppConfig):
    name = "kits"
    verbose_name = "Kits"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # After the apps are there: the kinds of refusal are the API's, and the API imports the models.
        from kits import jobs  # noqa: F401, PLC0415 - the handlers of queued work are known once it is imported
        from kits.api.kit_problem_types import KIT_REFUSALS  # noqa: PLC0415
        from kits.api.order_problem_types import ORDER_REFUSALS  # noqa: PLC0415
        from kits.api.problem_types import REFUSALS  # noqa: PLC0415
        from service.http import problem_types  # noqa: PLC0415

        problem_types.register(*REFUSALS, *KIT_REFUSALS, *ORDER_REFUSALS)
