"""`manage.py worker`: run queued jobs until told to stop; the job in hand is finished first."""

import logging
import signal
import threading
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand
from django.db import OperationalError, close_old_connections
from django.utils import timezone

from catalog.usecases import line_planning
from service.operations import housekeeping, jobs

log = logging.getLogger(__name__)


class Command(BaseCommand):
    help = "Run queued jobs until SIGTERM or Ctrl-C; --once runs what is due and ends."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--once", action="store_true", help="run what is due now, then end")
        parser.add_argument("--poll", type=float, default=1.0, metavar="SECONDS", help="how long to rest when idle")

    def handle(self, *args: Any, once: bool, poll: float, **options: Any) -> None:
        stop = threading.Event()
        if not once:
            for number in (signal.SIGTERM, signal.SIGINT):
                signal.signal(number, lambda *_: stop.set())
        Worker().work(stop, rest=None if once else poll)


class Worker:
    """Takes up one job after the other; sees to it that the housekeeping is among them once a day.

    What supply lines ask of their positions is worked out again whenever the catalogue has changed.
    """

    def __init__(self) -> None:
        self._housekept: date | None = None
        self._lines_at: int | None = None

    def work(self, stop: threading.Event, *, rest: float | None) -> None:
        """Work until `stop` is set; with nothing due, `rest` that many seconds, or end when `rest` is None."""
        while not stop.is_set():
            if self.took_one_up():
                continue
            if rest is None:
                return
            stop.wait(rest)

    def took_one_up(self) -> bool:
        """Run the next job that is due; a database that is away for a moment is no reason to end."""
        try:
            self.plan_housekeeping()
            self.plan_line_demands()
            job = jobs.claim_next(timezone.now())
            if job is not None:
                jobs.run(job, timezone.now)
        except OperationalError:
            log.exception("The database does not answer; trying again.")
            # A connection that broke is never mended, only replaced.
            close_old_connections()
            return False
        return job is not None

    def plan_housekeeping(self) -> None:
        now = timezone.now()
        if self._housekept != now.date():
            housekeeping.enqueue_daily(now)
            self._housekept = now.date()

    def plan_line_demands(self) -> None:
        self._lines_at = line_planning.plan_catalogue(timezone.now(), since=self._lines_at)
