"""What holds for every test: a lane each, the database only in lanes that name it, no deadline, long files first."""

import shutil
from collections import Counter
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from hypothesis import HealthCheck, settings

pytest_plugins = ["tests.desks", "tests.order_desk"]
LANES = ("domain", "db", "once")
TESTS = Path(__file__).parent
# The files that take longest, first of all: where two processes share the tests, neither waits for the other's last.
LONG = (
    "frame/test_fuzz.py",
    "frame/test_demo.py",
    "domain/test_columnar_worlds.py",
    "imports/test_killed_imports.py",
    "browser/test_counter_journeys.py",
    "browser/test_machine_journeys.py",
    "browser/test_filing_journeys.py",
    "domain/test_columnar_tables.py",
    "domain/test_columnar_demo.py",
    "domain/test_drafts_and_the_gate.py",
    "domain/test_rulebook_document.py",
    "domain/test_forecast_coverage.py",
    "domain/test_laws.py",
    "frame/test_layers.py",
    "api/test_rulebook_drafts.py",
    "api/test_demands_of_lines.py",
)

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
    twice = [name for name, count in Counter(item.nodeid for item in items).items() if count > 1]
    if twice:
        raise pytest.UsageError(
            f"several tests are called {twice[0]}; processes that share the tests would run one of them alone."
        )
    for item in items:
        if item.get_closest_marker("db") and not item.get_closest_marker("django_db"):
            item.add_marker("django_db")
    places = {TESTS / name: place for place, name in enumerate(LONG)}
    items.sort(key=lambda item: places.get(item.path, len(LONG)))


def pytest_unconfigure() -> None:
    # A process of several that share the tests is ended without its exit handlers, so the folder is removed here too.
    shutil.rmtree(django_settings.DATA_DIR, ignore_errors=True)
