"""The migrations say what the models say, in one line of succession for each app."""

import pytest
from django.core.management import call_command
from django.db.migrations.loader import MigrationLoader

pytestmark = pytest.mark.db


def test_no_model_change_waits_for_its_migration() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_no_app_has_two_last_migrations() -> None:
    assert MigrationLoader(None).detect_conflicts() == {}
