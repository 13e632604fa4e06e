"""A process of its own that answers one question for each line it is given, with the verdict and the version.

`python -m tests.usecases.asking_process <database settings as JSON> <the question as JSON>`
"""

from __future__ import annotations

import json
import sys

import django


def main(database: str, question: str) -> None:
    django.setup()
    from django.db import connection  # noqa: PLC0415 - needs the set-up

    from catalog.api.shapes import read_check  # noqa: PLC0415
    from catalog.usecases.checking import check_part  # noqa: PLC0415
    from service.operations.models import Dealer  # noqa: PLC0415
    from tests.api.world import NOW  # noqa: PLC0415

    connection.settings_dict.update(json.loads(database))
    dealer = Dealer.objects.get(code="tallis-bridge")
    for _ in sys.stdin:
        check = check_part(read_check(json.loads(question)), dealer=dealer, asked_by="the other process", now=NOW)
        sys.stdout.write(json.dumps([check.verdict, check.catalogue_version]) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
