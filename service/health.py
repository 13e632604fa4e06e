"""The two probes: is the process alive, and can it answer questions.

Neither needs a key, and neither tells versions, paths or error texts to whoever asks.
"""

from collections.abc import Callable
from datetime import timedelta

from django.db import Error as DatabaseFault
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Q
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from catalog.models import CatalogueState
from service.operations.models import Job, JobState

OK = "ok"
PATIENCE = timedelta(minutes=1)


@require_safe
@never_cache
def livez(request: HttpRequest) -> JsonResponse:
    return JsonResponse({"status": "alive"})


@require_safe
@never_cache
def readyz(request: HttpRequest) -> JsonResponse:
    """Answer 200 when checks can be asked here, else 503 with what is missing."""
    needed = {name: outcome(look) for name, look in NEEDED.items()}
    ready = all(found == OK for found in needed.values())
    body = {"status": "ready" if ready else "not ready", "checks": needed, "worker": outcome(worker)}
    return JsonResponse(body, status=200 if ready else 503)


def outcome(look: Callable[[], str]) -> str:
    try:
        return look()
    except DatabaseFault:
        return "the database does not answer"


def database() -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return OK


def migrations() -> str:
    executor = MigrationExecutor(connection)
    behind = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return "migrations are waiting; run manage.py migrate" if behind else OK


def rulebook() -> str:
    in_force = CatalogueState.objects.filter(rulebook__isnull=False)
    return OK if in_force.exists() else "no rulebook is published"


def worker() -> str:
    """Tell of the worker by the work it leaves; checks are answered without one, so nothing is decided on this."""
    now = timezone.now()
    at_work = Job.objects.filter(state=JobState.RUNNING, lease_until__gt=now)
    left = Job.objects.filter(
        Q(state=JobState.QUEUED, run_after__lt=now - PATIENCE)
        | Q(state=JobState.RUNNING, lease_until__lt=now - PATIENCE)
    )
    return "jobs are waiting; is manage.py worker running?" if left.exists() and not at_work.exists() else OK


NEEDED: dict[str, Callable[[], str]] = {"database": database, "migrations": migrations, "rulebook": rulebook}
