#!/usr/bin/env python3
"""Run Gudgeon's commands; `manage.py help` lists them.

Everything above `main`'s last lines has to parse and run on a Python too old for the rest of the project, since it
is what tells its owner so.
"""

import importlib.util
import os
import sys

OLDEST = (3, 11)
CANNOT_START = 2
TWO_LINES = """
To start:  python3 -m venv .venv && .venv/bin/pip install -q uv==0.13.9 && .venv/bin/uv run manage.py demo
To test:   .venv/bin/uv run pytest
"""


def obstacle() -> str:
    """Say in one sentence what keeps this Python from running the project; empty when nothing does."""
    found = ".".join(str(number) for number in sys.version_info[:3])
    if sys.version_info < OLDEST:
        return "Gudgeon needs Python 3.11, 3.12 or 3.13 and was started with %s; install one of them first." % found
    if importlib.util.find_spec("django") is not None:
        return ""
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        return "This Python %s cannot make virtual environments; on Debian run apt-get install python3-venv." % found
    return "Django is not installed for this Python (%s); run one of these two lines instead." % found


def main() -> int:
    problem = obstacle()
    if problem:
        sys.stderr.write(problem + "\n" + TWO_LINES)
        return CANNOT_START
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "service.settings")

    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        sys.stderr.write("Gudgeon is not set up rightly: %s\n" % error)
        return CANNOT_START
    return 0


if __name__ == "__main__":
    sys.exit(main())
