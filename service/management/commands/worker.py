"""`manage.py worker`: run queued jobs until told to stop; the job in hand is finished first."""

import logging
import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.db import OperationalError, close_old_connections
from django.utils import timezone

from service.operations.jobs import run_due

log = logging.getLogger(__name__)


class Command(BaseCommand):
    help = "Run queued jobs until SIGTERM or Ctrl-C; --once runs what is due and ends."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--once", action="store_true", help="run what is due now, then end")
        parser.add_argument("--poll", type=float, default=1.0, metavar="SECONDS", help="how long to rest when idle")

    def handle(self, *args: Any, once: bool, poll: float, **options: Any) -> None:
        stop = threading.Event()
        if once:
            stop.set()
        else:
            for number in (signal.SIGTERM, signal.SIGINT):
                signal.signal(number, lambda *_: stop.set())
        self.work(stop, poll)

    def work(self, stop: threading.Event, poll: float) -> None:
        while True:
            busy = ran_any()
            if stop.is_set():
                return
            if not busy:
                stop.wait(poll)


def ran_any() -> bool:
    """Run the jobs that are due; a database that is away for a moment is no reason to end."""
    close_old_connections()
    try:
        return bool(run_due(timezone.now()))
    except OperationalError:
        log.exception("The database does not answer; trying again.")
        return False
