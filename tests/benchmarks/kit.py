"""Kit: building the 500 h kit of Resurfacer 1 over HTTP, against the batch of checks of its lines over HTTP."""

from __future__ import annotations

import json
from itertools import count
from typing import Any

from catalog.models import Machine
from service.operations.models import Dealer
from tests.api.kit_cast import full_shelf
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.served import served_with_keys

AT_MOST = 2.0
KEYS = count(1)


def measure() -> list[Row]:
    with served_with_keys() as post:
        dealer = Dealer.objects.get(code="tallis-bridge")
        full_shelf(dealer)
        machine = str(Machine.objects.get(name="Resurfacer 1").pk)
        body = {"machine": machine, "level": "500"}
        kit: dict[str, Any] = json.loads(post("/api/v1/kits/", body, f"kit-{next(KEYS)}", "201"))  # type: ignore[arg-type]
        items = [_question(line, machine) for line in kit["lines"]]

        def build() -> object:
            return post("/api/v1/kits/", body, f"kit-{next(KEYS)}", "201")

        def check() -> object:
            return post("/api/v1/checks/batch/", {"items": items}, f"batch-{next(KEYS)}", "200")

        taken = interleaved({"batch": check, "kit": build}, repeat=5)
    ratio = taken["kit"] / taken["batch"]
    beside = {f"{name} us": time for name, time in taken.items()}
    return [Row("kit, 500 h, with its checks", ratio, "of its batch check", f"<= {AT_MOST}", ratio <= AT_MOST, beside)]


def _question(line: dict[str, Any], machine: str) -> dict[str, Any]:
    item: dict[str, Any] = {"part": {"id": line["part"]["id"]}}
    if line["unit"] == "each":
        item["quantity"] = line["quantity"]
    return {"candidate": [item], "position": line["position"], "machine": machine}
