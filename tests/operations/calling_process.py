"""A process of its own that makes calls with one key when it is given a line, and says how many were let in.

`python -m tests.operations.calling_process <database, file, key and calls as JSON>`
"""

from __future__ import annotations

import json
import sys

import django


def main(text: str) -> None:
    django.setup()
    from django.conf import settings  # noqa: PLC0415 - needs the set-up
    from django.db import connection  # noqa: PLC0415

    from service.operations.models import Key  # noqa: PLC0415
    from tests.operations.test_calls_at_once import tried  # noqa: PLC0415

    given = json.loads(text)
    connection.settings_dict.update(given["database"])
    settings.CALL_COUNTS_FILE = given["file"]
    key = Key(id8=given["key"], calls_per_minute=100)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    sys.stdout.write(f"{tried(key, given['calls'])}\n")


if __name__ == "__main__":
    main(sys.argv[1])
