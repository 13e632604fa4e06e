"""A worker in a process of its own that is killed, by SIGKILL, at one exact statement to the database.

`python -m tests.imports.killed_worker <database settings as JSON> <statement, 0 for none>`
"""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable
from typing import Any

import django


def main(database: str, at: int) -> None:
    django.setup()
    from django.core.management import call_command  # noqa: PLC0415 - needs the set-up
    from django.db import connection  # noqa: PLC0415

    connection.settings_dict.update(json.loads(database))
    count = 0

    def counting(execute: Callable[..., Any], *arguments: Any) -> Any:
        nonlocal count
        count += 1
        if count == at:
            os.kill(os.getpid(), signal.SIGKILL)
        return execute(*arguments)

    with connection.execute_wrapper(counting):
        call_command("worker", once=True)
    sys.stdout.write(str(count))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
