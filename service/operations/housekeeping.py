"""What is kept for a while only is cleared away once a day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from service.operations import call_counts, changes, files, idempotency, jobs
from service.operations.models import Job

KIND = "housekeeping"
FEED_KEPT_FOR = timedelta(days=30)
FILES_KEPT_FOR = timedelta(days=90)


def enqueue_daily(now: datetime) -> Job:
    """Add the day's housekeeping; asked again on the same UTC day, the same job."""
    return jobs.enqueue(KIND, now=now, idempotency=f"{KIND}:{now:%Y-%m-%d}")


@jobs.register(KIND)
def clear_away(lease: jobs.Lease) -> Mapping[str, Any]:
    now = lease.clock()
    call_counts.clear_over(now)
    return {
        "idempotency_records": idempotency.clear_expired(now),
        "changes": changes.clear_before(now - FEED_KEPT_FOR),
        "files": files.clear_files_before(now - FILES_KEPT_FOR),
    }
