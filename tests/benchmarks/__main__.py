"""`python -m tests.benchmarks [NAME ...] [--json]`: NAME is one of `BENCHMARKS` below; without one, all but `LONG`."""

from __future__ import annotations

import argparse
import json
import os
import sys
from dataclasses import asdict
from importlib import import_module

from tests.benchmarks.measuring import Row

# By name the module whose `measure` it is; loaded when asked for, since some bring a solver or a peer with them.
BENCHMARKS = {
    "p1": "p1_check",
    "p2": "p2_engine",
    "p4": "p4_substitutes",
    "p7": "p7_import",
    "p8": "p8_lookup",
    "p9": "p9_orders",
    "p10": "p10_growth",
    "columns": "columnar",
    "counter": "counter",
    "due": "due_fleet",
    "forecast": "forecast_coverage",
    "kit": "kit",
    "load": "load_catalogue",
    "missing": "missing_values",
    "page": "answer_page",
    "supply": "supply_line",
}

# A million parts are made for it.
LONG = frozenset({"p10"})


def measured(name: str) -> list[Row]:
    found: list[Row] = import_module(f"tests.benchmarks.{BENCHMARKS[name]}").measure()
    return found


def main(arguments: list[str]) -> int:
    """Print each row; exit 0 whether or not the aims hold, since speed is news and no test."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", choices=[[], *BENCHMARKS], default=[])
    parser.add_argument("--json", action="store_true", help="one JSON document instead of lines")
    asked = parser.parse_args(arguments)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "service.settings_test")
    import django  # noqa: PLC0415 - only once the settings are named

    django.setup()
    rows = [row for name in asked.names or [name for name in BENCHMARKS if name not in LONG] for row in measured(name)]
    if asked.json:
        print(json.dumps([asdict(row) for row in rows], indent=2))  # noqa: T201 - a command's output
    else:
        for row in rows:
            print(row.line())  # noqa: T201 - a command's output
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
