"""`manage.py demo`: one command from an empty folder to a running service with the invented dealership in it.

Every step may be repeated, so a run that was cut short anywhere is mended by running it again.
"""

import signal
import socket
import time
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any, NoReturn

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.utils import timezone

from service.management import demo_checks, demo_key, demo_people
from service.management.children import ChildEnded, Children

HOST = "127.0.0.1"
PORTS_TRIED = 100
SECONDS_TO_BE_READY = 30
SECONDS_BETWEEN_LOOKS = 0.2
CHECKS = "fixtures/demo/checks.json"
SERVER = ("-m", "gunicorn", "service.wsgi:application", "--workers", "1", "--threads", "8")
SERVER_MANNERS = ("--no-control-socket", "--log-level", "warning", "--graceful-timeout", "5")


class Command(BaseCommand):
    help = "Prepare the database, load the demo dealership and serve it; --check asks a few checks of it and ends."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="ask the demo's checks over HTTP, then stop")

    def handle(self, *args: Any, check: bool, **options: Any) -> None:
        # SIGINT too: a shell that starts the demo in the background has it ignored.
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, interrupt)
        try:
            self.prepare()
            with listening(settings.DEMO_PORT) as server, Children(folder=str(settings.BASE_DIR)) as children:
                address = self.serve(server, children)
                if check:
                    self.ask_checks(address)
                else:
                    self.invite(address)
                    stay(children)
        except KeyboardInterrupt:
            self.stdout.write("Stopped.")
        except ChildEnded as ended:
            raise CommandError(str(ended)) from ended

    def prepare(self) -> None:
        self.step("database", partial(call_command, "migrate", interactive=False, verbosity=0))
        self.step("published knowledge", partial(call_command, "load_reference", verbosity=0))
        self.step("demo dealership", partial(call_command, "load_demo", verbosity=0))
        self.step("service plans and records", partial(call_command, "load_service", verbosity=0))
        self.step("stock and prices", partial(call_command, "load_stock", verbosity=0))
        self.step("pages and styles", partial(call_command, "collectstatic", interactive=False, verbosity=0))
        # The children open connections of their own; an open one here would only hold the file.
        connections.close_all()

    def step(self, name: str, work: Callable[[], object]) -> None:
        began = time.monotonic()
        work()
        self.stdout.write(f"Ready: {name} ({time.monotonic() - began:.1f} s)")

    def serve(self, server: socket.socket, children: Children) -> str:
        """Start the web server and the worker, and give the address once it answers that it is ready."""
        port = server.getsockname()[1]
        if port != settings.DEMO_PORT:
            self.stdout.write(f"Port {settings.DEMO_PORT} is taken; using {port}.")
        handle = server.fileno()
        children.start("web server", (*SERVER, "--bind", f"fd://{handle}", *SERVER_MANNERS), handles=(handle,))
        children.start("worker", ("manage.py", "worker"))
        address = f"http://{HOST}:{port}"
        await_ready(f"{address}/readyz", children)
        return address

    def invite(self, address: str) -> None:
        for line in (*demo_key.invitation(timezone.now()), *demo_people.invitation(settings.DATA_DIR)):
            self.stdout.write(line)
        self.stdout.write(f"Pages:  {address}/\nAPI:    {address}/api/v1/\nDocs:   {address}/api/docs/")
        self.stdout.write(f"Ready?  {address}/readyz")
        self.stdout.write("Ctrl-C stops it.")
        self.stdout.flush()

    def ask_checks(self, address: str) -> None:
        checks = demo_checks.read(settings.BASE_DIR / CHECKS)
        with demo_key.temporary() as key:
            answers = [demo_checks.ask(check, address=address, key=key) for check in checks]
        for answered in answers:
            self.stdout.write(f"{answered.check.name}: {answered.verdict} - {answered.headline}")
        wrong = [answered for answered in answers if not answered.as_expected]
        told = "; ".join(f"{one.check.name} gave {one.verdict}, not {one.check.verdict}" for one in wrong)
        if told or not answers:
            raise CommandError(told or f"{CHECKS} holds no check.")
        self.stdout.write(f"Each of the {len(answers)} checks has the verdict it should have.")


def interrupt(*_signal: object) -> NoReturn:
    raise KeyboardInterrupt


@contextmanager
def listening(wanted: int) -> Iterator[socket.socket]:
    """Give a socket that listens on the wanted port or on the next free one.

    The web server inherits it, so that no other program can take the port between the look and the start.
    """
    for port in range(wanted, min(wanted + PORTS_TRIED, 65536)):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as server:
            # Without this a port stays refused for a minute after the last run on it.
            server.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                server.bind((HOST, port))
                server.listen()
            except OSError:
                continue
            yield server
            return
    raise CommandError(f"No port from {wanted} up is free; set GUDGEON_PORT to one that is.")


def await_ready(address: str, children: Children) -> None:
    until = time.monotonic() + SECONDS_TO_BE_READY
    said: dict[str, Any] = {}
    while time.monotonic() < until:
        children.check()
        try:
            status, said = demo_checks.send(address)
        except OSError:
            status = 0
        if status == 200:
            return
        time.sleep(SECONDS_BETWEEN_LOOKS)
    raise CommandError(f"The server is not ready after {SECONDS_TO_BE_READY} seconds: {said or 'it does not answer'}.")


def stay(children: Children) -> NoReturn:
    while True:
        children.check()
        time.sleep(SECONDS_BETWEEN_LOOKS)
