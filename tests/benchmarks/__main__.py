"""`python -m tests.benchmarks [NAME ...] [--json]`: NAME is one of `BENCHMARKS` below; without one, all."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable
from dataclasses import asdict

from tests.benchmarks.measuring import Row


def _p1() -> list[Row]:
    from tests.benchmarks import p1_check  # noqa: PLC0415 - Django is set up first

    return p1_check.measure()


def _p2() -> list[Row]:
    from tests.benchmarks import p2_engine  # noqa: PLC0415 - so that p1 does not load the peer

    return p2_engine.measure()


def _p4() -> list[Row]:
    from tests.benchmarks import p4_substitutes  # noqa: PLC0415 - Django is set up first

    return p4_substitutes.measure()


def _p7() -> list[Row]:
    from tests.benchmarks import p7_import  # noqa: PLC0415 - Django is set up first

    return p7_import.measure()


def _p8() -> list[Row]:
    from tests.benchmarks import p8_lookup  # noqa: PLC0415 - Django is set up first

    return p8_lookup.measure()


def _p9() -> list[Row]:
    from tests.benchmarks import p9_orders  # noqa: PLC0415 - it takes minutes, and loads the solver

    return p9_orders.measure()


def _load() -> list[Row]:
    from tests.benchmarks import load_catalogue  # noqa: PLC0415 - Django is set up first

    return load_catalogue.measure()


def _missing() -> list[Row]:
    from tests.benchmarks import missing_values  # noqa: PLC0415 - the demo is read only where it is asked for

    return missing_values.measure()


def _supply() -> list[Row]:
    from tests.benchmarks import supply_line  # noqa: PLC0415 - so that p1 does not load the equations of state

    return supply_line.measure()


def _columns() -> list[Row]:
    from tests.benchmarks import columnar  # noqa: PLC0415 - its parts are made only where they are asked for

    return columnar.measure()


def _forecast() -> list[Row]:
    from tests.benchmarks import forecast_coverage  # noqa: PLC0415 - so that p1 does not load the statistics library

    return forecast_coverage.measure()


BENCHMARKS: dict[str, Callable[[], list[Row]]] = {
    "p1": _p1, "p2": _p2, "p4": _p4, "p7": _p7, "p8": _p8, "p9": _p9, "load": _load, "missing": _missing,
    "supply": _supply, "columns": _columns, "forecast": _forecast,
}  # fmt: skip


def main(arguments: list[str]) -> int:
    """Print each row; exit 0 whether or not the aims hold, since speed is news and no test."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", choices=[[], *BENCHMARKS], default=[])
    parser.add_argument("--json", action="store_true", help="one JSON document instead of lines")
    asked = parser.parse_args(arguments)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "service.settings_test")
    import django  # noqa: PLC0415 - only once the settings are named

    django.setup()
    rows = [row for name in asked.names or BENCHMARKS for row in BENCHMARKS[name]()]
    if asked.json:
        print(json.dumps([asdict(row) for row in rows], indent=2))  # noqa: T201 - a command's output
    else:
        for row in rows:
            print(row.line())  # noqa: T201 - a command's output
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
