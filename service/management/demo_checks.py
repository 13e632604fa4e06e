"""The demo's own questions, asked over HTTP as a dealer's system would ask them."""

import json
import urllib.error
import urllib.request
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SECONDS_TO_ANSWER = 30


@dataclass(frozen=True, slots=True)
class DemoCheck:
    """One question, and the verdict the demo's data must give it."""

    name: str
    body: dict[str, Any]
    verdict: str


@dataclass(frozen=True, slots=True)
class Answered:
    check: DemoCheck
    verdict: str
    headline: str

    @property
    def as_expected(self) -> bool:
        return self.verdict == self.check.verdict


def read(file: Path) -> tuple[DemoCheck, ...]:
    return tuple(DemoCheck(**entry) for entry in json.loads(file.read_text(encoding="utf-8")))


def ask(check: DemoCheck, *, address: str, key: str) -> Answered:
    """Ask one check of the server at `address`; a refusal is an answer too, told by its title and detail."""
    status, body = post(f"{address}/api/v1/checks/", check.body, key=key)
    if status == 201:
        return Answered(check, verdict=body["verdict"], headline=body["headline"])
    return Answered(check, verdict=f"HTTP {status}", headline=f"{body.get('title', '')} {body.get('detail', '')}")


def post(address: str, body: dict[str, Any], *, key: str) -> tuple[int, dict[str, Any]]:
    request = urllib.request.Request(  # noqa: S310 - the address is this demo's own server
        address,
        data=json.dumps(body).encode(),
        headers={"Content-Type": "application/json", "Authorization": f"Bearer {key}"},
    )
    return send(request)


def send(request: urllib.request.Request | str) -> tuple[int, dict[str, Any]]:
    """Give the status and the JSON body; a refused request is no exception, an unreachable server is."""
    # The server is on this machine, so a proxy named in the environment is not asked.
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(request, timeout=SECONDS_TO_ANSWER) as answer:
            return answer.status, json.load(answer)
    except urllib.error.HTTPError as refusal:
        with refusal:
            return refusal.code, as_json(refusal.read())


def as_json(body: bytes) -> dict[str, Any]:
    try:
        found = json.loads(body)
    except ValueError:
        return {"title": "The answer is no JSON:", "detail": body[:200].decode(errors="replace")}
    return found if isinstance(found, dict) else {"detail": found}
