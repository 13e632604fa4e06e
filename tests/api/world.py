"""The demo dealership asked over HTTP: the published rulebook, the demo catalogue, two dealers with their keys."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from django.test import Client

from catalog.domain.import_reading import TableText
from catalog.domain.rulebook_document import assemble
from catalog.usecases.demo_dealership import load_demo, open_dealership
from catalog.usecases.demo_files import demo_tables
from catalog.usecases.rulebooks import publish_rulebook
from kits.usecases.demo_service import load_service
from service.operations.keys import issue_key
from service.operations.models import Dealer, Person, Scope

FIXTURES = Path(__file__).parents[2] / "fixtures"
NOW = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)
JSON = "application/json"
MERGE_PATCH = "application/merge-patch+json"


def read(*path: str) -> Any:
    return json.loads(FIXTURES.joinpath(*path).read_text(encoding="utf-8"))


@cache
def reference_document() -> dict[str, object]:
    return assemble({file.stem: read("reference", file.name) for file in (FIXTURES / "reference").glob("*.json")})


@cache
def demo_catalogue() -> tuple[TableText, ...]:
    return demo_tables(FIXTURES / "demo")


def load_world() -> Dealer:
    """Publish the reference, load the demo with its service records, and give the demo's dealer."""
    publish_rulebook(reference_document(), NOW)
    load_demo(demo_catalogue(), NOW)
    dealer = open_dealership()
    load_service(demo_plans(), read("demo", "service", "machines.json"), dealer, NOW)
    return dealer


def demo_plans() -> list[Any]:
    files = sorted((FIXTURES / "demo" / "service" / "plans").glob("*.json"))
    return [json.loads(file.read_text(encoding="utf-8")) for file in files]


def demo_dealer() -> Dealer:
    """The demo's dealer, where the world is loaded."""
    return Dealer.objects.get(code="tallis-bridge")


def other_dealer() -> Dealer:
    return Dealer.objects.create(code="weir-lane", name="Weir Lane", zone="Europe/Paris")


@dataclass(frozen=True, slots=True)
class Desk:
    """A dealer's system with its key."""

    client: Client
    key: str

    @classmethod
    def of(
        cls, dealer: Dealer, *, scopes: Iterable[str] = tuple(Scope.values), person: Person | None = None,
        calls_per_minute: int | None = None,
    ) -> Desk:  # fmt: skip
        issued = issue_key(
            dealer=dealer, name="counter", live=True, scopes=scopes, now=NOW, person=person,
            calls_per_minute=calls_per_minute,
        )  # fmt: skip
        return cls(Client(raise_request_exception=False), issued.text)

    def get(self, address: str, **headers: str) -> Any:
        return self.client.get(f"/api/v1{address}", headers=self._with(headers))

    def post(self, address: str, body: Any, **headers: str) -> Any:
        """Post a body; bytes go out as they are, anything else as JSON."""
        raw = body if isinstance(body, bytes) else json.dumps(body)
        return self.client.post(f"/api/v1{address}", raw, content_type=JSON, headers=self._with(headers))

    def patch(self, address: str, body: Any, **headers: str) -> Any:
        return self.client.patch(
            f"/api/v1{address}", json.dumps(body), content_type=MERGE_PATCH, headers=self._with(headers)
        )

    def changed(self, address: str, body: Any) -> dict[str, Any]:
        """What was there, read and changed by a patch that is in order."""
        tag = self.get(address).headers["ETag"]
        response = self.patch(address, body, If_Match=tag)
        assert response.status_code == 200, response.content
        answer: dict[str, Any] = response.json()
        return answer

    def made(self, address: str, body: Any) -> dict[str, Any]:
        """What was added by a body that is in order."""
        response = self.post(address, body)
        assert response.status_code == 201, response.content
        answer: dict[str, Any] = response.json()
        return answer

    def check(self, body: Mapping[str, Any], **headers: str) -> Any:
        return self.post("/checks/", body, **headers)

    def answer(self, body: Mapping[str, Any]) -> dict[str, Any]:
        """The recorded answer to a question that is in order."""
        response = self.check(body)
        assert response.status_code == 201, response.content
        answer: dict[str, Any] = response.json()
        return answer

    def _with(self, headers: Mapping[str, str]) -> dict[str, str]:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return {"Authorization": f"Bearer {self.key}", **named}


def sent(response: Any) -> bytes:
    """All of a file that is sent piece by piece."""
    assert response.status_code == 200, response.content
    return b"".join(response.streaming_content)


def demo_question(verdict: str) -> dict[str, Any]:
    """The demo's question that has this verdict."""
    body: dict[str, Any] = next(deepcopy(entry["body"]) for entry in read("demo", "checks.json")
                                if entry["verdict"] == verdict)  # fmt: skip
    return body
