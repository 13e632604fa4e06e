"""What holds for every test: a lane each, the database only in the lanes that name it, no deadline for laws."""

import shutil

import pytest
from django.conf import settings as django_settings
from hypothesis import HealthCheck, settings

pytest_plugins = ["tests.desks", "tests.order_desk"]
LANES = ("domain", "db", "once")

# How long an example takes depends on the machine, so time decides nothing.
settings.register_profile("gudgeon", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("gudgeon")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    stray = [item.nodeid for item in items if not any(item.get_closest_marker(lane) for lane in LANES)]
    if stray:
        raise pytest.UsageError(
            f"no lane for {', '.join(stray[:5])}; write pytestmark = pytest.mark.<lane> in its file, "
            f"with one of {', '.join(LANES)}."
        )
    for item in items:
        if item.get_closest_marker("db") and not item.get_closest_marker("django_db"):
            item.add_marker("django_db")


def pytest_unconfigure() -> None:
    # A process of several that share the tests is ended without its exit handlers, so the folder is removed here too.
    shutil.rmtree(django_settings.DATA_DIR, ignore_errors=True)
