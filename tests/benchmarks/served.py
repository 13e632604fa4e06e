"""The service in this process, on a database of its own, called through its WSGI handler without sockets."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from django.conf import settings
from django.core.handlers.wsgi import WSGIHandler
from django.db import connection
from django.test import Client
from django.test.utils import override_settings

from service.operations.keys import issue_key
from service.operations.models import Scope
from service.operations.models.key import MOST_CALLS_PER_MINUTE
from service.operations.people import create_person
from tests.api.world import NOW, load_world

Call = Callable[[], object]
Get = Callable[[str], Call]
Post = Callable[[str, Mapping[str, Any]], Call]


@contextmanager
def empty_database() -> Iterator[None]:
    """A database of this run's own, with its tables and nothing in them."""
    name = connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        yield
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


@dataclass(frozen=True, slots=True)
class Served:
    """Makers of calls with one key: of GET (200) by an address with its query, of POST (201) by address and body.

    A call raises RuntimeError where the answer is another.
    """

    get: Get
    post: Post


@contextmanager
def served_both_ways() -> Iterator[Served]:
    with empty_database(), override_settings(ROOT_URLCONF="tests.benchmarks.urls", LOGGING_CONFIG=None):
        key = _issued()
        handler = WSGIHandler()
        yield Served(
            get=lambda address: _get(handler, key, address),
            post=lambda address, body: _post(handler, key, address, json.dumps(body).encode()),
        )


@contextmanager
def served() -> Iterator[Post]:
    with served_both_ways() as service:
        yield service.post


@contextmanager
def served_with_keys() -> Iterator[Callable[[str, Mapping[str, Any], str, str], object]]:
    """Yields a POST: address, body, Idempotency-Key and the status wanted; raises where the answer is another."""
    with empty_database(), override_settings(ROOT_URLCONF="tests.benchmarks.urls", LOGGING_CONFIG=None):
        key = issue_key(dealer=load_world(), name="benchmark", live=True, scopes=tuple(Scope.values), now=NOW).text
        handler = WSGIHandler()

        def post(address: str, body: Mapping[str, Any], once: str, wanted: str) -> object:
            asked = {"REQUEST_METHOD": "POST", "PATH_INFO": address, "QUERY_STRING": "",
                     "CONTENT_TYPE": "application/json", "HTTP_IDEMPOTENCY_KEY": once}  # fmt: skip
            return _call(handler, asked, key, wanted, json.dumps(body).encode())()

        yield post


@contextmanager
def served_with_get() -> Iterator[Get]:
    with served_both_ways() as service:
        yield service.get


@contextmanager
def served_with_session() -> Iterator[tuple[Get, Callable[[str, Mapping[str, str]], str]]]:
    """Yields a maker of GET calls of somebody signed in at the demo's counter, and what sends a form.

    The latter gives the address that the answer leads to.
    """
    with empty_database(), override_settings(ROOT_URLCONF="tests.benchmarks.urls", LOGGING_CONFIG=None):
        client = Client(raise_request_exception=False)
        client.force_login(create_person(username="bench", name="Bench", roles=["counter"], dealer=load_world()))
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        handler = WSGIHandler()

        def get(address: str) -> Call:
            asked = {"REQUEST_METHOD": "GET", "PATH_INFO": address, "QUERY_STRING": ""}
            return _call(handler, {**asked, "HTTP_COOKIE": f"{settings.SESSION_COOKIE_NAME}={cookie}"}, None, "200")

        def send(address: str, form: Mapping[str, str]) -> str:
            return client.post(address, form, headers={"host": "localhost"}).headers["Location"]

        yield get, send


def _issued() -> str:
    """A key whose calls are counted as any other's, and too many to be held back."""
    issued = issue_key(
        dealer=load_world(), name="benchmark", live=True, scopes=tuple(Scope.values), now=NOW,
        calls_per_minute=MOST_CALLS_PER_MINUTE,
    )  # fmt: skip
    return issued.text


def _get(handler: WSGIHandler, key: str, address: str) -> Call:
    path, _, query = address.partition("?")
    return _call(handler, {"REQUEST_METHOD": "GET", "PATH_INFO": path, "QUERY_STRING": query}, key, "200")


def _post(handler: WSGIHandler, key: str, address: str, body: bytes) -> Call:
    asked = {"REQUEST_METHOD": "POST", "PATH_INFO": address, "QUERY_STRING": "", "CONTENT_TYPE": "application/json"}
    return _call(handler, asked, key, "201", body)


def _call(handler: WSGIHandler, asked: Mapping[str, str], key: str | None, wanted: str, body: bytes = b"") -> Call:
    def call() -> bytes:
        told: list[str] = []
        environ = {
            **asked, "SERVER_NAME": "localhost", "SERVER_PORT": "80", "SERVER_PROTOCOL": "HTTP/1.1",
            "HTTP_HOST": "localhost", "wsgi.url_scheme": "http", "CONTENT_LENGTH": str(len(body)),
            "wsgi.input": BytesIO(body), **({} if key is None else {"HTTP_AUTHORIZATION": f"Bearer {key}"}),
        }  # fmt: skip
        answer = b"".join(handler(environ, lambda status, _headers: told.append(status)))  # type: ignore[arg-type]
        if not told or not told[0].startswith(wanted):
            raise RuntimeError(f"{asked['REQUEST_METHOD']} {asked['PATH_INFO']} was answered {told}: {answer[:500]!r}")
        return answer

    return call
