"""A process of its own that makes calls with one key when it is given a line, and says how many were let in.

`python -m tests.operations.calling_process <database, file, key, calls and limit as JSON>`
"""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime

from django.conf import settings
from django.db import connection

from service.operations.call_counts import spend

MORNING = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)


def main(text: str) -> None:
    given = json.loads(text)
    connection.settings_dict.update(given["database"])
    settings.CALL_COUNTS_FILE = given["file"]
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    tried = [spend(given["key"], cost=1, limit=given["limit"], now=MORNING) for _ in range(given["calls"])]
    sys.stdout.write(f"{sum(count is not None for count in tried)}\n")


if __name__ == "__main__":
    main(sys.argv[1])
